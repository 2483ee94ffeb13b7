package clf

import "slices"

// channels calls read for each of a node's elements of numbers, with the channels that
// it is for: all, or the one that it names.
func (e *element) channels(name string, read func(p *element, channels []int) error) error {
	var set [3]bool
	for _, p := range e.children {
		if p.name != name {
			continue
		}
		of := []int{0, 1, 2}
		if text, there := p.attr("channel"); there {
			c := slices.Index([]string{"R", "G", "B"}, text)
			if c < 0 {
				return p.fail("channel is %q, want R, G or B", text)
			}
			of = []int{c}
		}
		for _, c := range of {
			if set[c] {
				return p.fail("%s stands twice for one channel", name)
			}
			set[c] = true
		}
		if err := p.onlyChildren("no element"); err != nil {
			return err
		}
		if err := read(p, of); err != nil {
			return err
		}
	}
	if set == [3]bool{} {
		return e.fail("%s has no %s", e.name, name)
	}
	return nil
}

func parseExponent(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", "", exponentStyles)
	if err != nil {
		return nil, err
	}
	x := sameExponent(style, ExponentParams{Exponent: 1}) // a channel that is not named stays
	err = e.channels("ExponentParams", func(p *element, of []int) error {
		read, err := parseExponentParams(p, style)
		for _, c := range of {
			x.Params[c] = read
		}
		return err
	})
	return x, err
}

func parseExponentParams(p *element, style string) (to ExponentParams, err error) {
	if err := p.only("exponent", "offset", "channel"); err != nil {
		return to, err
	}
	there, err := p.numberAttr("exponent", &to.Exponent)
	if err == nil && !there {
		err = p.fail("ExponentParams has no exponent")
	}
	if err != nil {
		return to, err
	}
	there, err = p.numberAttr("offset", &to.Offset)
	switch {
	case err != nil:
		return to, err
	case !isMonCurve(style) && there:
		return to, p.fail("ExponentParams has an offset, want none for style %s", style)
	case isMonCurve(style) && !there:
		return to, p.fail("ExponentParams has no offset, want one for style %s", style)
	case isMonCurve(style) && (to.Exponent < 1 || to.Exponent > 10):
		return to, p.fail("exponent is %v, want 1 to 10", to.Exponent)
	case isMonCurve(style) && (to.Offset < 0 || to.Offset > 0.9):
		return to, p.fail("offset is %v, want 0 to 0.9", to.Offset)
	case to.Exponent <= 0:
		return to, p.fail("exponent is %v, want more than 0", to.Exponent)
	}
	return to, nil
}

func parseLog(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", "", logStyles)
	if err != nil {
		return nil, err
	}
	l := sameLog(style, plainLog)
	if !hasLogParams(style) {
		return l, e.onlyChildren("Description")
	}
	base := 0.
	err = e.channels("LogParams", func(p *element, of []int) error {
		read, err := parseLogParams(p, style)
		if err != nil {
			return err
		}
		if base != 0 && base != read.Base {
			return p.fail("base is %v, want %v as for the other channels", read.Base, base)
		}
		base = read.Base
		for _, c := range of {
			l.Params[c] = read
		}
		return nil
	})
	return l, err
}

func parseLogParams(p *element, style string) (LogParams, error) {
	to := plainLog
	if err := p.only("base", "logSideSlope", "logSideOffset", "linSideSlope", "linSideOffset", "linSideBreak", "linearSlope", "channel"); err != nil {
		return to, err
	}
	for name, number := range map[string]*float64{"base": &to.Base, "logSideSlope": &to.LogSlope, "logSideOffset": &to.LogOffset, "linSideSlope": &to.LinSlope, "linSideOffset": &to.LinOffset} {
		if _, err := p.numberAttr(name, number); err != nil {
			return to, err
		}
	}
	hasBreak, err := p.numberAttr("linSideBreak", &to.Break)
	if err != nil {
		return to, err
	}
	hasStraight, err := p.numberAttr("linearSlope", &to.Straight)
	switch {
	case err != nil:
		return to, err
	case isCamera(style) && !hasBreak:
		return to, p.fail("LogParams has no linSideBreak, want one for style %s", style)
	case !isCamera(style) && (hasBreak || hasStraight):
		return to, p.fail("LogParams has a linSideBreak or a linearSlope, want none for style %s", style)
	case !(to.Base > 0) || to.Base == 1:
		return to, p.fail("base is %v, want more than 0, and not 1", to.Base)
	case to.LogSlope == 0 || to.LinSlope == 0 || hasStraight && to.Straight == 0:
		return to, p.fail("a slope is 0, want another number")
	case isCamera(style) && to.LinSlope*to.Break+to.LinOffset <= 0:
		return to, p.fail("linSideBreak is %v, where the logarithm has no value", to.Break)
	}
	return to, nil
}
