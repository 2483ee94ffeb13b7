package clip_test

import (
	"context"
	"fmt"

	"halocline/app/clip"
)

func ExampleRead() {
	m, info, err := clip.Read(context.Background(), "testdata/video-001.cmyk.jpeg")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(info.Format, info.Width, info.Height, info.Channels)
	fmt.Println(info.Notices[0])
	fmt.Printf("%.2f\n", m.RGB(75, 50))
	// Output:
	// JPEG 150 103 cmyk
	// Printing inks (CMYK) were turned into RGB by the plain product, without a profile: colours are approximate.
	// {0.37 0.08 0.00}
}

func ExampleStat() {
	_, err := clip.Stat("testdata/LICENSE")
	fmt.Println(err)
	// Output:
	// clip: testdata/LICENSE: it is a text file, want a PNG, JPEG, TIFF, BMP or WebP picture
}
