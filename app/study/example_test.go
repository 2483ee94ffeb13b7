package study_test

import (
	"fmt"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func Example() {
	session := study.NewSession(study.New(study.Clip{Path: "/dive/transect/0001.png", First: 1, Count: 72}), "")
	session.Edit("new matte", func(s *study.Study) error {
		m := s.AddMatte("skin", selection.LCh)
		hue := &m.Pick.Limits[selection.Hue]
		hue.Off = false
		hue.SetKey(1, selection.Range{From: 340, To: 20, Before: 6, After: 9}, mask.Straight)
		hue.SetKey(41, selection.Range{From: 20, To: 60, Before: 6, After: 9}, mask.Straight)
		return nil
	})
	err := session.Edit("too much", func(s *study.Study) error {
		s.Base.Exposure.Fix(200)
		return nil
	})
	fmt.Println(err)
	fmt.Println(session.UndoLabels())
	matte := session.Study().MatteNamed("Skin")
	r := matte.At(21).Pick.Limits[selection.Hue]
	fmt.Printf("frame 21: hue %.0f to %.0f\n", r.From, r.To)
	// Output:
	// study: base: exposure is 200, want -20 to 20
	// [new matte]
	// frame 21: hue 0 to 40
}
