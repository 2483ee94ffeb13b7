package panels

import (
	"halocline/app/study"
	"halocline/app/ui/look"
)

// specOf is how a number of the table of settings is shown and set.
func specOf(s study.Spec) look.Spec {
	return look.Spec{
		Label: s.Title(), Unit: s.Unit, Hint: s.Hint, Min: s.Min, Max: s.Max, Low: s.Low, High: s.High,
		Increment: s.Increment, Neutral: s.Neutral, Decimals: s.Decimals,
		Signed: s.Min < 0, Tick: s.Low < s.Neutral && s.Neutral < s.High,
	}
}

// inPercent is specOf for a share, which is shown in percent.
func inPercent(s study.Spec) look.Spec {
	p := specOf(s)
	for _, v := range []*float64{&p.Min, &p.Max, &p.Low, &p.High, &p.Increment, &p.Neutral} {
		*v *= 100
	}
	p.Unit, p.Decimals = "%", max(0, s.Decimals-2)
	return p
}
