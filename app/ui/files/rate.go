package files

import "halocline/app/study"

// AskRate asks at how many frames a second the clip runs.
func (f *Files) AskRate() {
	f.over.AskText("Frame rate", "Frames a second, such as 25, 29.97 or 24000/1001. The files of a sequence do not tell: 25 is taken.", "Set", "frame rate",
		study.RateText(f.desk.Study().Clip.Rate), func(text string) error {
			rate, err := study.ParseRate(text)
			if err == nil {
				f.desk.Edit("Frame rate", func(s *study.Study, _ *study.Matte) error {
					s.Clip.Rate = rate
					return nil
				})
			}
			return err
		})
}
