// Package stage is what tests of the window stand on: Fyne's test driver made more
// like a real one, a hand that moves a mouse and presses keys, and footage made for
// them. Tests alone import it. Positions are in Fyne's units.
package stage

import (
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	fynetooltip "github.com/dweymouth/fyne-tooltip"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
)

// A Stage is Fyne's test driver made more like a real one: what the background
// hands to fyne.Do waits for the test's goroutine, and modifiers can be held.
type Stage struct {
	fyne.Driver
	Mods fyne.KeyModifier // that are held

	mu      sync.Mutex
	waiting []func()
}

var _ desktop.Driver = (*Stage)(nil)

// DoFromGoroutine keeps f for Play. What is to be waited for is done at once,
// after all that waits: the tests alone ask for that, on their own goroutine.
func (s *Stage) DoFromGoroutine(f func(), wait bool) {
	if wait {
		s.Play()
		f()
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, f)
}

// Play does what waits, and what that asks for in turn.
func (s *Stage) Play() {
	for {
		s.mu.Lock()
		all := s.waiting
		s.waiting = nil
		s.mu.Unlock()
		if len(all) == 0 {
			return
		}
		for _, f := range all {
			f()
		}
	}
}

func (s *Stage) CreateSplashWindow() fyne.Window       { return s.CreateWindow("") }
func (s *Stage) CurrentKeyModifiers() fyne.KeyModifier { return s.Mods }

// An App is Fyne's test app on a stage.
type App struct {
	fyne.App
	Stage *Stage
}

func (a *App) Driver() fyne.Driver { return a.Stage }

// NewApp makes a staged app the current one. It stays so after the test:
// what comes late, as hints do, waits for ever and disturbs no other test.
func NewApp(t testing.TB) *App {
	t.Helper()
	a := new(App)
	t.Cleanup(func() { fyne.SetCurrentApp(a) }) // after NewTempApp's own
	under := test.NewTempApp(t)
	a.App, a.Stage = under, &Stage{Driver: under.Driver()}
	fyne.SetCurrentApp(a)
	return a
}

// Bare makes a window of 1280 x 800 that has nothing in it but a layer for hints, for a
// test alone.
func (a *App) Bare(t testing.TB) fyne.Window {
	t.Helper()
	a.Settings().SetTheme(look.Theme())
	w := a.NewWindow("")
	w.SetPadded(false)
	w.SetContent(fynetooltip.AddWindowToolTipLayer(look.HGap(1), w.Canvas()))
	w.Resize(fyne.NewSize(1280, 800))
	t.Cleanup(func() { fynetooltip.DestroyWindowToolTipLayer(w.Canvas()) })
	return w
}

// ours are the stacks of goroutines of this program, the test's own left out.
func ours() (stacks []string) {
	buf := make([]byte, 1<<20)
	for _, s := range strings.Split(string(buf[:runtime.Stack(buf, true)]), "\n\n") {
		if strings.Contains(s, "halocline/") && !strings.Contains(s, "testing.tRunner") && !strings.Contains(s, "testing.runTests") {
			stacks = append(stacks, s)
		}
	}
	return stacks
}

// AwaitNobody waits until no goroutine of this program is left, and returns
// those that are still there in the end.
func AwaitNobody(s *Stage) []string {
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		s.Play()
		if len(ours()) == 0 {
			return nil
		}
	}
	return ours()
}

// Eventually waits for what the background does.
func Eventually(t testing.TB, what string, done func() bool) {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); ; time.Sleep(time.Millisecond) {
		ok := false
		fyne.DoAndWait(func() { ok = done() })
		if ok {
			return
		}
		require.True(t, time.Now().Before(end), "%s: not within 60 s", what)
	}
}
