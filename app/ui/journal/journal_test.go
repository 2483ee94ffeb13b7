package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk/watch"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
)

func TestNobodyFollows(t *testing.T) {
	j, r := New(nil, nil), NewTrace(nil)
	require.Nil(t, j)
	require.Nil(t, r)
	assert.NotPanics(t, func() {
		j.OnFrame(func() []Spot { return nil })
		j.Tell("saved %s", "a")
		j.TellPlaces()
		r.Add(&watch.Showing{Request: watch.Request{Kind: watch.DragRequest}})
	})
}

func TestPlacesAreToldOnceTheyRest(t *testing.T) {
	win := stage.NewApp(t).Bare(t)
	var told bytes.Buffer
	j := New(&told, win.Canvas())
	button := look.NewButton("Take it", nil)
	text := func() (s string) {
		fyne.DoAndWait(func() { s = told.String() })
		return s
	}
	fyne.DoAndWait(func() {
		win.SetContent(button)
		win.Resize(fyne.NewSize(300, 100))
		j.Tell("ready")
		j.TellPlaces()
	})
	stage.Eventually(t, "rest", func() bool { return bytes.HasSuffix([]byte(text()), []byte("settled\n")) })
	assert.Regexp(t, `^ready\nplace -?\d+ -?\d+ 300 100 button Take it\nsettled\n$`, text())
	fyne.DoAndWait(func() {
		told.Reset()
		j.TellPlaces()
	})
	stage.Eventually(t, "rest again", func() bool { return text() != "" })
	assert.Equal(t, "settled\n", text(), "nothing has moved")
}

func TestATraceIsALineAPicture(t *testing.T) {
	var w bytes.Buffer
	r := NewTrace(&w)
	r.Add(nil)
	r.Add(&watch.Showing{}) // of no drag, nor of another frame
	assert.Empty(t, w.String())
	r.Add(&watch.Showing{Request: watch.Request{Kind: watch.DragRequest, Frame: 7, Asked: time.Now()}, Factor: 2, Draft: true, Took: 3 * time.Millisecond})
	var line traceLine
	require.NoError(t, json.Unmarshal(w.Bytes(), &line))
	assert.Equal(t, watch.DragRequest, line.Kind)
	assert.Equal(t, 7, line.Frame)
	assert.Equal(t, 3.0, line.Drawn)
	assert.True(t, line.Draft)

	f := &full{}
	r = NewTrace(f)
	for range 2 {
		r.Add(&watch.Showing{Request: watch.Request{Kind: watch.DragRequest}})
	}
	assert.Equal(t, 1, f.tries, "it writes no more")
}

// full is a disk without room.
type full struct{ tries int }

func (f *full) Write([]byte) (int, error) {
	f.tries++
	return 0, errors.New("no room")
}
