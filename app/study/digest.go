package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
)

// Engine is the version of the arithmetic that makes pictures. It rises with
// every change that alters a byte of them.
const Engine = 2

// Digest returns what the matte's picture at a frame depends on, as 64
// hexadecimal digits: the settings as they are at that frame, the base, the
// source's fingerprint, its noise and the engine's version. Names, notes, ids,
// dabs, proofs and the trial do not count. Equal digests mean equal pictures, as
// long as the source stays: of a sequence the fingerprint is the first file's, and
// who keeps pictures adds that of the frame's own (package export).
func (s *Study) Digest(frame int, m *Matte) string {
	return s.DigestOf(frame, &m.Settings)
}

// DigestOf is Digest for settings that may not be a matte's own: a proof's.
func (s *Study) DigestOf(frame int, set *Settings) string {
	h := sha256.New()
	s.hashSource(h, frame)
	hashMatte(h, set.At(frame))
	return hex.EncodeToString(h.Sum(nil))
}

// DigestShown returns what the frame after base depends on.
func (s *Study) DigestShown(frame int) string {
	h := sha256.New()
	s.hashSource(h, frame)
	return hex.EncodeToString(h.Sum(nil))
}

// DigestFinished returns what the finished picture at a frame depends on: the
// base and every matte with a trial that changes something, in their order.
func (s *Study) DigestFinished(frame int) string {
	h := sha256.New()
	s.hashSource(h, frame)
	for i := range s.Mattes {
		at := s.Mattes[i].At(frame)
		if at.Trial.Grades() {
			hashMatte(h, at)
			fmt.Fprintf(h, "trial %#v\n", at.Trial.CDL())
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// hashSource writes what every picture of a frame depends on. Values are written
// in Go's own syntax: with their fields' names, no String method in between,
// and as many digits as give them back, so that nothing is rounded away.
func (s *Study) hashSource(w io.Writer, frame int) {
	source := s.Clip.SHA256
	if source == "" { // nobody measured it: the path is all there is
		source = s.Clip.Path
	}
	fmt.Fprintf(w, "engine %d\nsource %d %q\nframe %d\nnoise %#v\n", Engine, s.Clip.Size, source, frame, s.Clip.Noise)
	if s.Clip.Matrix != "" || s.Clip.Range != "" {
		fmt.Fprintf(w, "codes %q %q\n", s.Clip.Matrix, s.Clip.Range)
	}
	fmt.Fprintf(w, "base %#v\n", s.Base.At(frame))
}

func hashMatte(w io.Writer, at SettingsAt) {
	fmt.Fprintf(w, "smooth %t\npick %#v\nmasks %#v\nedge %#v\n", at.Smooth, at.Pick, at.Masks, at.Edge)
}
