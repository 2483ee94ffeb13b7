package export

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

func read(t *testing.T, elements ...string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(elements...))
	require.NoError(t, err)
	return text
}

// The sheet says what the mattes are; the same mattes have the same one, and one
// export's ranges add up in it.
func TestSheets(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 9)
	j.Sheets = true
	all := j.Frames
	j.Frames = all[:3]
	done, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, done, 6+4)
	assert.Equal(t, []Kind{Overlay, Overlay, Sheet, Sheet}, []Kind{done[6].Kind, done[7].Kind, done[8].Kind, done[9].Kind})
	text := string(read(t, j.Folder, "dive-skin.txt"))
	for _, says := range []string{
		"Mattes of skin in dive\n",
		"such as skin/dive-skin.000000.png\n",
		"Frames       0-2 (3 in all)\n",
		"Rate         25 frames a second. Frame 0 is at 0.000000 s (00:00:00:00),\n             frame 2 at 0.080000 s (00:00:00:02)\n",
		"320 x 180 pixels",
		"one channel of 16 bits",
		"value = round(alpha x 65535)",
		"             exposure 0.2 EV\n",
		fmt.Sprintf("dive-skin-overlay.png is frame %d after base, under\n", 1),
		ManifestName + " has each",
	} {
		assert.Contains(t, text, says)
	}
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, len([]rune(line)), 100, line)
		assert.Equal(t, strings.TrimRight(line, " \n")+"\n", line)
	}
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	require.Equal(t, Report{Good: 6, Beside: 4}, report)

	first := files(t, j.Folder)
	again := j
	again.Folder = t.TempDir()
	_, err = again.Run(t.Context())
	require.NoError(t, err)
	require.Equal(t, first, files(t, again.Folder), "no date, no chance")
	since := aged(t, j.Folder)
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.Empty(t, since())

	j.Frames = all[5:]
	j.Study.Base.Exposure.Set(0, 0)
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	text = string(read(t, j.Folder, "dive-skin.txt"))
	assert.Contains(t, text, "Frames       5-8 (4 in all)\n")
	assert.Contains(t, text, "\n             Frames 0-2 beside them are of earlier plans, and may be made with\n             other settings\n")
	assert.Contains(t, text, "is frame 7 after base")
	assert.Contains(t, text, "Base         None")
	report, err = Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	require.True(t, report.Sound())
	require.Empty(t, report.Strangers)
}

func TestSheetOfABaseThatVaries(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 3)
	j.Study.Clip.Rate = [2]int{24000, 1001}
	j.Study.Base.Water, j.Study.Base.Input = "IB", colour.HLG
	j.Study.Base.Path.SetKey(0, 2, mask.Straight)
	j.Sheets, j.Shard, j.Depth = true, Shard{0, 2}, 8
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	assert.NoFileExists(t, filepath.Join(j.Folder, "dive-sand.txt"), "frames are to come")
	j.Shard = Shard{1, 2}
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	text := string(read(t, j.Folder, "dive-sand.txt"))
	for _, says := range []string{"it varies; here frame 1", "             input hlg\n", "             water IB\n", "             path length 2 m\n",
		"24000/1001 (about 23.976)", "Frames       0-2", "round(alpha x 255)", "manifest.*-of-2.jsonl"} {
		assert.Contains(t, text, says)
	}
}

// The text names what a matte takes in and how, and what that takes in itself.
func TestSheetOfAJoinedMatte(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	skin, sand := j.Mattes[0], j.Mattes[1]
	j.Sheets = true
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	assert.NotContains(t, string(read(t, j.Folder, "dive-skin.txt")), "Joined")
	skin.TakeIn(sand.ID, study.TakeAway)
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.Contains(t, string(read(t, j.Folder, "dive-skin.txt")), "\nJoined       \"sand\" is taken away\nBase ")
	assert.NotContains(t, string(read(t, j.Folder, "dive-sand.txt")), "Joined")

	shirt := j.Study.AddMatte("shirt", selection.HSL)
	j.Study.MatteNamed("sand").TakeIn(shirt.ID, study.Within)
	top := j.Study.MatteNamed("skin")
	top.TakeIn(shirt.ID, study.Touching)
	assert.Equal(t, []string{
		`"sand" is taken away`, `"shirt" is added as touching: the two values are summed, up to white`, `in "sand" only what lies within "shirt" too is kept`,
	}, joinedLines(j.Study, top))
	for i := range study.HowNames() {
		assert.NotEmpty(t, joinedWords[study.How(i)], "each way has its words")
	}
}

// The overlay is the frame under its hatch, small, and no larger than it must be.
func TestOverlay(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 3)
	j.Sheets = true
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	m, err := png.Decode(bytes.NewReader(read(t, j.Folder, "dive-skin-overlay.png")))
	require.NoError(t, err)
	hatch, err := drawView(t.Context(), j.Renderer, render.Request{Study: j.Study, Settings: &j.Mattes[0].Settings, Frame: 1}, view.Hatch, 8, 0)
	require.NoError(t, err)
	require.Equal(t, hatch.RGBA(nil).Bounds(), m.Bounds())
	for y := range 180 {
		for x := range 320 {
			r, g, b, _ := m.At(x, y).RGBA()
			c := hatch.RGB(x, y)
			require.Equal(t, [3]uint8{colour.Code8(float32(c.R)), colour.Code8(float32(c.G)), colour.Code8(float32(c.B))}, [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)})
		}
	}
	for w, want := range map[int]int{320: 1, 1280: 1, 1281: 2, 1920: 2, 3840: 3, 4096: 4} {
		assert.Equal(t, want, overlayFactor(image.Pt(w, 9)), w)
	}
}

// What others have put under the names of sheets stops an export before it begins.
func TestSheetsLeaveTheFilesOfOthers(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	j.Sheets = true
	path := filepath.Join(j.Folder, "dive-skin.txt")
	require.NoError(t, os.WriteFile(path, []byte("my notes"), 0o666))
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, path+" exists and was not written by an export")
	assert.NoDirExists(t, filepath.Join(j.Folder, "skin"))
	j.Overwrite = true
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	j.Overwrite = false
	require.NoError(t, os.WriteFile(path, append(read(t, path), "and my notes"...), 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, path+" was changed since")

	pattern, err := ParsePattern("{clip}-{matte}-overlay.png")
	require.NoError(t, err)
	j.Pattern, j.Frames = pattern, j.Frames[:1]
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "which is the name of an overlay")
}

// needMaker skips a test where the program that makes movies is missing; where CI
// is set it fails.
func needMaker(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath(movieMaker); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is missing", movieMaker)
		}
		t.Skipf("%s is not on the PATH", movieMaker)
	}
}

// The movie, decoded, has the samples of the PNG files, in their order, and is
// tagged as what it is.
func TestMovieIsThePictures(t *testing.T) {
	needMaker(t)
	j, _ := clipJob(t, t.TempDir(), 7)
	j.Study.Clip.Rate = [2]int{30000, 1001}
	j.Movie = true
	for _, depth := range []int{16, 8} {
		j.Depth = depth
		done, err := j.Run(t.Context())
		require.NoError(t, err)
		require.Len(t, done, 14+2)
		for _, m := range j.Mattes {
			path := filepath.Join(j.Folder, "dive-"+m.Name+".mkv")
			got, err := exec.Command(movieMaker, "-v", "error", "-i", path, "-f", "rawvideo", "-pix_fmt", "gray16le", "pipe:1").Output()
			require.NoError(t, err)
			var want []byte
			for _, n := range j.Frames {
				f := rawOf(t.Context(), filepath.Join(j.Folder, m.Name, fmt.Sprintf("dive-%s.%06d.png", m.Name, n)))
				require.NoError(t, f.err)
				want = append(want, f.pix...)
			}
			require.True(t, bytes.Equal(want, got), m.Name)
			footage, err := clip.OpenMovie(t.Context(), path, clip.Options{})
			require.NoError(t, err)
			about := footage.Info().Movie
			assert.Equal(t, []any{"ffv1", "gray16le", "full", "tag", [2]int{30000, 1001}}, []any{about.Codec, about.Pixels, about.Range, about.RangeFrom, about.Rate})
			assert.Equal(t, 7, footage.Count())
			require.NoError(t, footage.Close())
		}
	}
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	require.Equal(t, Report{Good: 14, Beside: 2}, report)

	movie := filepath.Join(j.Folder, "dive-skin.mkv")
	before := read(t, movie)
	since := agedMovies(t, j.Folder)
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.Empty(t, since(), "they are there")
	require.NoError(t, os.Remove(movie))
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.True(t, bytes.Equal(before, read(t, movie)), "the same bytes of the same program")
	since = agedMovies(t, j.Folder)
	j.Mattes[0].Edge.Soften.Fix(2)
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{"dive-skin.mkv"}, since())
}

// The movie of base and of the trial has the samples of the PNG files too, plane by
// plane, and reads back as them.
func TestMovieInColours(t *testing.T) {
	needMaker(t)
	for _, kind := range []Kind{Base, Trial} {
		j, _ := clipJob(t, t.TempDir(), 3)
		j.Movie, j.Sheets, j.Kind = true, true, kind
		for _, depth := range []int{16, 8} {
			j.Depth = depth
			most, err := j.MostBytes(320 * 180)
			require.NoError(t, err)
			done, err := j.Run(t.Context())
			require.NoError(t, err)
			require.Len(t, done, 3+1)
			assert.Equal(t, []any{Movie, "", 0}, []any{done[3].Kind, done[3].Matte, done[3].Frame})
			path := filepath.Join(j.Folder, "dive-"+string(kind)+".mkv")
			assert.Less(t, done[3].Size, most)
			got, err := exec.Command(movieMaker, "-v", "error", "-i", path, "-f", "rawvideo", "-pix_fmt", "gbrp16le", "pipe:1").Output()
			require.NoError(t, err)
			footage, err := clip.OpenMovie(t.Context(), path, clip.Options{})
			require.NoError(t, err)
			about := footage.Info().Movie
			assert.Equal(t, []any{"ffv1", "gbrp16le", "full", [2]int{25, 1}}, []any{about.Codec, about.Pixels, about.Range, about.Rate})
			var want []byte
			for i, n := range j.Frames {
				name := filepath.Join(j.Folder, string(kind), fmt.Sprintf("dive-%s.%06d.png", kind, n))
				f := rawColours(t.Context(), name)
				require.NoError(t, f.err)
				want = append(want, f.pix...)
				picture, _, err := clip.Read(t.Context(), name)
				require.NoError(t, err)
				frame, err := footage.Frame(t.Context(), i)
				require.NoError(t, err)
				assert.Equal(t, picture.R.Pix, frame.R.Pix)
				assert.Equal(t, picture.G.Pix, frame.G.Pix)
				assert.Equal(t, picture.B.Pix, frame.B.Pix)
			}
			require.True(t, bytes.Equal(want, got), "%s of %d bits", kind, depth)
			require.NoError(t, footage.Close())
		}
		report, err := Verify(t.Context(), nil, j.Folder)
		require.NoError(t, err)
		assert.Equal(t, Report{Good: 3, Beside: 1}, report)
		since := agedMovies(t, j.Folder)
		_, err = j.Run(t.Context())
		require.NoError(t, err)
		assert.Empty(t, since(), "it is there")
	}
}

func agedMovies(t *testing.T, folder string) func() []string {
	t.Helper()
	sums := map[string]os.FileInfo{}
	list, err := filepath.Glob(filepath.Join(folder, "*.mkv"))
	require.NoError(t, err)
	for _, path := range list {
		sums[path], err = os.Stat(path)
		require.NoError(t, err)
	}
	return func() (changed []string) {
		for _, path := range list {
			info, err := os.Stat(path)
			require.NoError(t, err)
			if !os.SameFile(info, sums[path]) {
				changed = append(changed, filepath.Base(path))
			}
		}
		return changed
	}
}

// Where the program is missing, or fails, PNG files are there and the error says
// what to do; no half movie is left.
func TestMovieThatCannotBeMade(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	j.Movie = true
	var told []string
	j.Notice = func(s string) { told = append(told, s) }
	bin := t.TempDir()
	t.Setenv("PATH", bin)
	done, err := j.Run(t.Context())
	require.ErrorContains(t, err, "the program ffmpeg that makes movies is not on the PATH (Debian, Ubuntu: apt install ffmpeg;")
	require.ErrorIs(t, err, exec.ErrNotFound)
	require.Len(t, done, 4)
	require.Contains(t, told[0], "PNG files are written, but no movie")
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	assert.Equal(t, 4, report.Good)
	require.Len(t, report.Faults, 2, "the movies were never written")

	script := "#!/bin/sh\necho 'no space left on device' >&2\nexit 1\n"
	require.NoError(t, os.WriteFile(filepath.Join(bin, movieMaker), []byte(script), 0o777))
	if _, err := os.Stat("/bin/sh"); err != nil {
		t.Skip("no shell to stand in for the program")
	}
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "export: movie "+filepath.Join(j.Folder, "dive-skin.mkv")+" (its PNG files are there): ffmpeg: no space left on device")
	left, err := filepath.Glob(filepath.Join(j.Folder, ".*"))
	require.NoError(t, err)
	assert.Empty(t, left)
	require.NoFileExists(t, filepath.Join(j.Folder, "dive-skin.mkv"))

	ctx, cancel := context.WithCancel(t.Context())
	script = "#!/bin/sh\nexec /bin/cat > /dev/null\n"
	require.NoError(t, os.WriteFile(filepath.Join(bin, movieMaker), []byte(script), 0o777))
	j.Progress = func(s Progress) {
		if s.Done == 4 {
			cancel()
		}
	}
	_, err = j.Run(ctx)
	require.ErrorIs(t, err, context.Canceled)
	require.NoFileExists(t, filepath.Join(j.Folder, "dive-skin.mkv"))
}

func TestMoviesNobodyCanHave(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	j.Movie = true
	j.Kind = Hatch
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "a movie is made of kind matte, pick, mask, base or trial, not of hatch")
	j.Kind, j.Shard = Matte, Shard{1, 2}
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "part 1/2 of the frames makes no movie")
	j.Shard, j.Study.Clip.Rate = Shard{}, [2]int{}
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "dive has no frame rate")
	assert.Empty(t, files(t, j.Folder))
}
