package desk

import (
	"slices"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/study"
)

// Flags of the check over the clip, and those that were put away.

// DismissFlag puts away what the frame shown is flagged for. It is told again once that is
// another trouble, or clearly worse.
func (d *Desk) DismissFlag() {
	f, flagged := d.flag()
	if !flagged {
		return
	}
	d.Edit("Dismiss flag", withMatte(func(_ *study.Study, m *study.Matte) error {
		m.Dismiss(study.Dismissed{Frame: f.Frame, Trouble: f.Trouble, Badness: f.Badness})
		return nil
	}))
}

// CanDismissFlag reports whether the frame shown has a flag that can be put away: one that cannot
// be judged keeps its.
func (d *Desk) CanDismissFlag() bool {
	_, flagged := d.flag()
	return flagged
}

func (d *Desk) flag() (shot.Finding, bool) {
	found := d.Verdict().Findings
	i := slices.IndexFunc(found, func(f shot.Finding) bool { return f.Frame == d.Frame && f.StandsOut() && !f.Unjudged })
	if i < 0 {
		return shot.Finding{}, false
	}
	return found[i], true
}

// withoutDismissed is a verdict without the flags that were put away of its matte.
func withoutDismissed(v watch.Verdict, m *study.Matte) watch.Verdict {
	if m != nil && len(m.Dismissed) > 0 {
		v.Findings = slices.DeleteFunc(slices.Clone(v.Findings), func(f shot.Finding) bool { return m.Dismisses(f.Frame, f.Trouble, f.Badness) })
	}
	v.Findings = v.Findings[:min(len(v.Findings), watch.WorstTold)]
	return v
}
