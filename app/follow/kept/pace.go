package kept

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"halocline/app/regular"
)

// paceName is the file that says how long following took last, a frame, as "1.2s".
const paceName = "pace"

// mostPace is how many bytes of it are read.
const mostPace = 64

// LoadPace returns how long following took last, a frame; not ok where that is not known.
func (f *Folder) LoadPace() (aFrame time.Duration, ok bool) {
	file, _, err := regular.Open(filepath.Join(f.path, paceName))
	if err != nil {
		return 0, false
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, mostPace))
	if err != nil {
		return 0, false
	}
	aFrame, err = time.ParseDuration(strings.TrimSpace(string(text)))
	return aFrame, err == nil && aFrame > 0
}

// SavePace keeps how long following takes, where there is a folder already. Where it cannot be
// kept it is not known next time.
func (f *Folder) SavePace(aFrame time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.shut != nil || !f.isFolder() {
		return
	}
	out, err := os.CreateTemp(f.path, f.unfinished()+"*")
	if err != nil {
		return
	}
	_, err = io.WriteString(out, aFrame.Round(time.Millisecond).String()+"\n")
	if closed := out.Close(); err == nil && closed == nil {
		err = os.Rename(out.Name(), filepath.Join(f.path, paceName))
	}
	if err != nil {
		_ = os.Remove(out.Name()) // nothing depends on it
	}
}

// LoadPace is Folder.LoadPace for the folder that there is.
func (p *Place) LoadPace() (aFrame time.Duration, ok bool) {
	if f := p.now(); f != nil {
		return f.LoadPace()
	}
	return 0, false
}

// SavePace is Folder.SavePace for the folder that there is.
func (p *Place) SavePace(aFrame time.Duration) {
	if f := p.now(); f != nil {
		f.SavePace(aFrame)
	}
}

// now is the folder that there is; nil for none.
func (p *Place) now() *Folder {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.folder
}
