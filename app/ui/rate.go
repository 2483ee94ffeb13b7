package ui

import "halocline/app/study"

// askRate asks at how many frames a second the clip runs.
func (w *window) askRate() {
	w.sheets.AskText("Frame rate", "Frames a second, such as 25, 29.97 or 24000/1001. The files of a sequence do not tell: 25 is taken.", "Set", "frame rate",
		study.RateText(w.desk.Study().Clip.Rate), func(text string) error {
			rate, err := study.ParseRate(text)
			if err == nil {
				w.desk.Edit("Frame rate", func(s *study.Study, _ *study.Matte) error {
					s.Clip.Rate = rate
					return nil
				})
			}
			return err
		})
}
