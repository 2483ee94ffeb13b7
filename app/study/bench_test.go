package study

import (
	"bytes"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// roto is a heavy study: ten mattes, each with three masks of 40 points and
// 100 keys, 120,000 points in all.
func roto(b *testing.B) *Study {
	s := New(Clip{Path: "/dive/transect/0001.png", Count: 1000})
	for range 10 {
		m := s.AddMatte("thing", selection.LCh)
		for range 3 {
			key := square(0, 0, 0, 1)
			for len(key.Points) < 40 {
				key.Points = append(key.Points, Point{X: float64(len(key.Points)) / 3, Y: 7})
			}
			s.AddMask(m, "mask", Keep, key)
		}
		for i := range m.Masks {
			first := m.Masks[i].Keys[0]
			for f := range 100 {
				key := first
				key.Frame = 10 * f
				m.Masks[i].SetKey(key)
			}
		}
	}
	require.NoError(b, s.Validate())
	return s.Clone()
}

// BenchmarkEdit is one frame of a slider's drag on a heavy study, beside the
// plain twin that copies the document by way of its file.
func BenchmarkEdit(b *testing.B) {
	b.Run("drag", func(b *testing.B) {
		d := NewSession(roto(b), "").Begin("drag")
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			require.NoError(b, d.Edit(expose(float64(i%20))))
		}
	})
	b.Run("twin", func(b *testing.B) {
		s := roto(b)
		for b.Loop() {
			var text bytes.Buffer
			require.NoError(b, Encode(&text, s))
			_, err := Decode(&text)
			require.NoError(b, err)
		}
	})
}

func BenchmarkFile(b *testing.B) {
	s := roto(b)
	text := encoded(b, s)
	b.Run("encode", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			require.NoError(b, Encode(io.Discard, s))
		}
	})
	b.Run("decode", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			decoded(b, text)
		}
	})
}

// BenchmarkAt evaluates a matte's settings between keys, and its digest.
func BenchmarkAt(b *testing.B) {
	s := roto(b)
	b.Run("at", func(b *testing.B) {
		for b.Loop() {
			s.Mattes[0].At(505)
		}
	})
	b.Run("digest", func(b *testing.B) {
		for b.Loop() {
			s.Digest(505, &s.Mattes[0])
		}
	})
}
