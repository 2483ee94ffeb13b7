package look

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
)

// Number shows a number and lets it be typed. Return commits and leaves, so that
// the keys typed next are the window's again; leaving commits; Esc restores; the arrows up and down change it by one increment, with Shift by ten,
// with Ctrl by a tenth. An entry that cannot be keeps the old number, shows a
// triangle and says the limits in words.
type Number struct {
	box
	spec   Spec
	value  float64
	fine   bool // the user set it: one digit more is shown where it has one
	edited func(v float64, p study.Phase)
}

const numberWidth = 52

// NewNumber is an entry that shows the neutral value. edited hears of the
// user's changes alone, each of them Done.
func NewNumber(s Spec, edited func(v float64, p study.Phase)) *Number {
	n := &Number{spec: s, value: s.Neutral, edited: edited}
	n.right = true
	n.start(n, s.Hint, numberWidth)
	n.edit.commit, n.edit.cancel = n.commit, n.cancel
	n.edit.OnSubmitted = func(string) { n.submit() }
	n.edit.key, n.edit.short, n.edit.focus = n.key, n.short, n.setFocused
	n.show()
	return n
}

// Set shows v, silently. A text that the user is typing is replaced only where
// v is another number.
func (n *Number) Set(v float64) {
	if n.value == v {
		return
	}
	n.value, n.fine = v, false
	n.setProblem("")
	n.show()
}

// SetSpec changes what the number may be and how it is written, silently.
func (n *Number) SetSpec(s Spec) {
	if n.spec == s {
		return
	}
	n.spec = s
	n.SetHint(s.Hint)
	n.setProblem("")
	n.show()
}

// setFine shows what the user set beside the entry.
func (n *Number) setFine(v float64) {
	n.Set(v)
	n.fine = true
	n.show()
}

// Value is the number that holds, whatever is being typed.
func (n *Number) Value() float64 { return n.value }

func (n *Number) shown() string { return n.spec.format(n.value, n.focused || n.fine) }

func (n *Number) show() {
	n.edit.show(n.shown())
	n.Refresh()
}

// setFocused shows the number more finely while it can be edited.
func (n *Number) setFocused(on bool) {
	n.box.setFocused(on)
	n.show()
}

// commit takes what was typed. A text left as it was changes nothing: the
// number may have more digits than are shown.
func (n *Number) commit() {
	if n.edit.Text == n.spec.format(n.value, true) || n.edit.Text == n.spec.format(n.value, false) {
		n.show()
		return
	}
	v, err := n.spec.parse(n.edit.Text)
	n.show()
	if err != nil {
		n.setProblem(err.Error())
		return
	}
	n.report(v)
}

// submit takes what was typed, and leaves where it could be taken.
func (n *Number) submit() {
	n.commit()
	if n.problem == "" {
		n.leave()
	}
}

func (n *Number) leave() {
	if in := canvasOf(n); in != nil {
		in.Unfocus()
	}
}

func (n *Number) report(v float64) {
	if v == n.value {
		return
	}
	n.setFine(v)
	if n.edited != nil {
		n.edited(v, study.Done)
	}
}

// cancel restores the text; where there is nothing to restore it leaves.
func (n *Number) cancel() {
	if n.edit.Text != n.shown() {
		n.show()
		return
	}
	n.leave()
}

func (n *Number) key(ev *fyne.KeyEvent) bool {
	increments := 1.0
	if shift() {
		increments = 10
	}
	return n.arrow(ev.Name, increments)
}

func (n *Number) short(name fyne.KeyName) bool { return n.arrow(name, 0.1) }

func (n *Number) arrow(name fyne.KeyName, increments float64) bool {
	switch name {
	case fyne.KeyUp:
	case fyne.KeyDown:
		increments = -increments
	default:
		return false
	}
	if n.off {
		return true
	}
	from := n.value
	if v, err := n.spec.parse(n.edit.Text); err == nil && n.edit.Text != n.shown() {
		from = v
	}
	n.report(n.spec.incremented(from, increments))
	return true
}
