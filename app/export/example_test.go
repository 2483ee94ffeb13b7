package export_test

import (
	"bytes"
	"fmt"
	"image/png"

	"halocline/app/export"
	"halocline/colour"
)

func ExamplePattern() {
	p, err := export.ParsePattern(export.DefaultPattern)
	if err != nil {
		fmt.Println(err)
		return
	}
	name, err := p.Format(export.Fields{Clip: "transect", Matte: "skin", Frame: 24})
	fmt.Println(name, err)
	_, err = export.ParsePattern("{shot}.png")
	fmt.Println(err)
	// Output:
	// skin/transect-skin.000024.png <nil>
	// export: name pattern "{shot}.png" has {shot}, want {clip}, {matte}, {version}, {frame} or {frame:1} to {frame:12}
}

func ExampleEncodeGrey() {
	var file bytes.Buffer
	matte := colour.Plane{W: 3, H: 1, Pix: []float32{0, 0.25, 1}}
	if err := export.EncodeGrey(&file, matte, 16); err != nil {
		fmt.Println(err)
		return
	}
	m, _ := png.Decode(&file)
	for x := range 3 {
		fmt.Println(m.At(x, 0))
	}
	// Output:
	// {0}
	// {16384}
	// {65535}
}
