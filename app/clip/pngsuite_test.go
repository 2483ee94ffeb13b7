package clip

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// PngSuite by Willem van Schaik: a name tells what the picture is, as in
// basi4a16.png: test, interlaced or not, colour type and its letter, depth.
// The .rgba files beside some are their pixels as R, G, B, A of 8 bits.
func TestPngSuite(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(openData(t, "pngsuite"), "*", "*.png"))
	require.NoError(t, err)
	require.Greater(t, len(files), 100)
	references := 0
	for _, path := range files {
		if filepath.Base(filepath.Dir(path)) == "broken" {
			_, _, err := Read(background, path)
			require.ErrorIs(t, err, ErrDamaged, path)
			checkWords(t, path, err)
			continue
		}
		m, info, err := Read(background, path)
		require.NoError(t, err, path)
		if name := strings.TrimSuffix(filepath.Base(path), ".png"); len(name) == 8 {
			checkSuiteName(t, name, info)
		}
		reference, err := os.ReadFile(strings.TrimSuffix(path, "png") + "rgba")
		if err != nil {
			continue
		}
		references++
		require.Len(t, reference, 4*info.Width*info.Height, path)
		for i := range m.R.Pix {
			for c, p := range [][]float32{m.R.Pix, m.G.Pix, m.B.Pix} {
				want := float64(reference[4*i+c])
				// A 16-bit sample is within one of its 8-bit code, however that was rounded.
				tolerance := 1e-4
				if info.Depth == 16 {
					tolerance = 1
				}
				require.InDelta(t, want, 255*float64(p[i]), tolerance, "%s: pixel %d", path, i)
			}
		}
	}
	assert.Equal(t, 50, references)
}

func checkSuiteName(t *testing.T, name string, info Info) {
	kinds := map[byte]string{'0': "grey", '2': "rgb", '3': "palette", '4': "grey", '6': "rgb"}
	kind, depth := name[4], name[6:]
	if name[3] != 'n' && name[3] != 'i' || name[:2] == "tb" {
		return // names of another pattern
	}
	if want, ok := kinds[kind]; ok {
		assert.Equal(t, want, info.Channels, name)
		assert.Equal(t, kind == '4' || kind == '6', info.Alpha && info.Channels != "palette" && name[:2] != "tp", name)
	}
	depths := map[string]int{"01": 1, "02": 2, "04": 4, "08": 8, "16": 16}
	assert.Equal(t, depths[depth], info.Depth, name)
}

// Pictures interlaced and not are the same pictures.
func TestPngSuiteInterlaced(t *testing.T) {
	for _, sub := range []string{"basic", "sizes"} {
		files, err := filepath.Glob(filepath.Join(openData(t, "pngsuite"), sub, "*.png"))
		require.NoError(t, err)
		pairs := 0
		for _, path := range files {
			name := filepath.Base(path)
			if name[3] != 'i' {
				continue
			}
			pairs++
			want, _, err := Read(background, filepath.Join(filepath.Dir(path), name[:3]+"n"+name[4:]))
			require.NoError(t, err, name)
			got, _, err := Read(background, path)
			require.NoError(t, err, name)
			requireSame(t, want, got, name)
		}
		assert.Greater(t, pairs, 10)
	}
}
