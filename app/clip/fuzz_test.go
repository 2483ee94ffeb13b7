package clip

import "testing"

// FuzzRead feeds bytes to every reader: whatever they are, the outcome is a
// picture with samples in [0,1] or an error in the package's words. The seeds
// are one small file of every kind.
func FuzzRead(f *testing.F) {
	for _, file := range samples(f) {
		if len(file) < 8000 {
			f.Add(file)
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 0 {
			requireSane(t, "fuzz", b)
			if _, _, err := readGrey(background, smallOnly(b), true); err != nil {
				checkWords(t, "test", err)
			}
		}
	})
}

// smallOnly leaves nothing of files that take long to read.
func smallOnly(b []byte) source {
	s := memory(b)
	if h, err := readHeader(s); err == nil && h.Width*h.Height > 1<<20 {
		return memory(b[:1])
	}
	return s
}
