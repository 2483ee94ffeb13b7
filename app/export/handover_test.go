package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func verified(t *testing.T, folders ...string) Report {
	t.Helper()
	r, err := Verify(t.Context(), nil, folders...)
	require.NoError(t, err)
	return r
}

func ran(t *testing.T, j Job) []Entry {
	t.Helper()
	done, err := j.Run(t.Context())
	require.NoError(t, err)
	return done
}

// killedAt runs a job that ends once it has made so many pictures.
func killedAt(t *testing.T, j Job, pictures int) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	j.Workers = 1
	j.Progress = func(s Progress) {
		if s.Done == pictures {
			cancel()
		}
	}
	_, err := j.Run(ctx)
	require.ErrorIs(t, err, context.Canceled)
}

// An export of other settings that ends half-way leaves files of both: those of the old
// settings are named.
func TestAMixtureOfSettingsIsNamed(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 8)
	ran(t, j)
	require.True(t, verified(t, j.Folder).Sound())
	j.Study.Base.Exposure.Set(0, 0.7)
	killedAt(t, j, 6) // two mattes each of three frames
	r := verified(t, j.Folder)
	assert.False(t, r.Sound())
	assert.Empty(t, r.Faults)
	assert.Equal(t, []Gap{{Matte, "sand", 2, "3-7", 5}, {Matte, "skin", 2, "3-7", 5}}, r.Stale)
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound())
}

// Of shards of a changed study one is not run again.
func TestAShardOfOldSettingsIsNamed(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 9)
	shards(t, j, 3)
	require.True(t, verified(t, j.Folder).Sound())
	j.Mattes[0].Edge.Soften.Fix(3)
	for _, i := range []int{0, 2} {
		j.Shard = Shard{i, 3}
		ran(t, j)
	}
	r := verified(t, j.Folder)
	require.Len(t, r.Stale, 1)
	assert.Equal(t, Gap{Matte, j.Mattes[0].Name, 2, "3-5", 3}, r.Stale[0])
	j.Shard = Shard{1, 3}
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound())
	for i := range 3 {
		m, err := openManifest(j.Folder, Shard{i, 3}.ManifestName())
		require.NoError(t, err)
		assert.Equal(t, 2, m.planned[len(m.planned)-1].Number, "all joined the second plan")
	}
}

// The study is edited between the starts of two shards.
func TestShardsOfTwoStudiesAreNoExport(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	j.Shard = Shard{0, 2}
	ran(t, j)
	j.Study.Base.Exposure.Set(0, 0.3)
	j.Shard = Shard{1, 2}
	ran(t, j)
	r := verified(t, j.Folder)
	require.Len(t, r.Stale, 2)
	assert.Equal(t, "0-1", r.Stale[0].Frames)
}

// A key that moves at one frame changes a few frames around it: no others are condemned.
func TestAMovedKeyCondemnsWhatItTouches(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 12)
	m := j.Mattes[0]
	for _, n := range []int{0, 4, 8, 11} {
		m.Edge.Soften.SetKey(n, 1, mask.Straight)
	}
	ran(t, j)
	m.Edge.Soften.SetKey(8, 3, mask.Straight)
	killedAt(t, j, 1)
	r := verified(t, j.Folder)
	require.Len(t, r.Stale, 1)
	assert.Equal(t, "5-10", r.Stale[0].Frames, "between the keys beside it")
	assert.Equal(t, m.Name, r.Stale[0].Matte)
}

// A key that moves in a matte that is taken in condemns the frames of those that take it
// in, by whatever way; a trial of it, and its dabs, condemn nothing.
func TestWhatIsTakenInCondemnsWhatTakesItIn(t *testing.T) {
	for _, kind := range []Kind{Matte, Cutout, Hatch, Reasons} {
		j, _ := clipJob(t, t.TempDir(), 12)
		j.Kind, j.Depth = kind, 8
		between := j.Study.AddMatte("between", selection.LCh)
		sand := &j.Study.Mattes[1]
		sand.Pick.Limits[selection.Light].Fix(selection.Range{From: 0.35, To: 0.5, Before: 0.05, After: 0.05})
		between.TakeIn(sand.ID, study.Within)
		for _, n := range []int{0, 4, 8, 11} {
			sand.Edge.Grow.SetKey(n, 0, mask.Straight)
		}
		skin := &j.Study.Mattes[0]
		skin.TakeIn(between.ID, study.TakeAway)
		j.Mattes = []*study.Matte{skin}
		first := ran(t, j)
		sand.Trial.Slope[0].Fix(2)
		j.Study.AddDab(sand, study.Dab{X: 30, Y: 30, Radius: 4})
		require.Equal(t, first, ran(t, j))
		require.True(t, verified(t, j.Folder).Sound())
		sand.Edge.Grow.SetKey(8, 9, mask.Straight)
		killedAt(t, j, 1)
		r := verified(t, j.Folder)
		require.Len(t, r.Stale, 1, kind)
		assert.Equal(t, Gap{kind, "skin", 2, "5-10", 6}, r.Stale[0])
		again := ran(t, j)
		assert.True(t, verified(t, j.Folder).Sound())
		for n := range again {
			assert.Equal(t, n < 5 || n > 10, again[n].SHA256 == first[n].SHA256, "%s, frame %d", kind, n)
		}
	}
}

// An export of some frames alone leaves the plan of the others standing.
func TestAnExportOfSomeFramesLeavesTheOthers(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 6)
	ran(t, j)
	j.Study.Base.Exposure.Set(0, 0.7)
	part := j
	part.Frames = j.Frames[:2]
	ran(t, part)
	assert.True(t, verified(t, j.Folder).Sound())
	require.NoError(t, os.Remove(filepath.Join(j.Folder, "skin", "dive-skin.000005.png")))
	assert.Len(t, verified(t, j.Folder).Faults, 1)
}

// The folder is moved, removed or replaced while an export runs: it ends with an error
// that names the folder, and makes nothing in its place.
func TestTheFolderGoesWhileAnExportRuns(t *testing.T) {
	for what, befalls := range map[string]func(folder string){
		"moved":   func(folder string) { assert.NoError(t, os.Rename(folder, folder+"-2")) },
		"removed": func(folder string) { assert.NoError(t, os.RemoveAll(folder)) },
		"replaced": func(folder string) {
			assert.NoError(t, os.Rename(folder, folder+"-2"))
			assert.NoError(t, os.MkdirAll(filepath.Join(folder, "skin"), 0o777))
		},
	} {
		for at := range 8 {
			if runtime.GOOS == "windows" {
				t.Skip("a folder in use cannot be moved there")
			}
			j, _ := clipJob(t, filepath.Join(t.TempDir(), "out"), 4)
			require.NoError(t, os.MkdirAll(j.Folder, 0o777))
			j.Sheets, j.Workers = true, 1
			j.Progress = func(s Progress) {
				if s.Done == at+1 {
					befalls(j.Folder)
				}
			}
			_, err := j.Run(t.Context())
			require.ErrorContains(t, err, "folder "+j.Folder+" was moved or removed while the export ran", "%s at %d", what, at)
			switch _, missing := os.Stat(j.Folder); what {
			case "replaced":
				left, err := filepath.Glob(filepath.Join(j.Folder, "*", "*"))
				require.NoError(t, err)
				assert.Empty(t, left)
				assert.NoFileExists(t, filepath.Join(j.Folder, ManifestName))
			default:
				assert.ErrorIs(t, missing, os.ErrNotExist, "%s at %d", what, at)
			}
		}
	}
}

// A file that goes while an export runs is missed before it ends.
func TestAFileGoesWhileAnExportRuns(t *testing.T) {
	for _, name := range []string{"skin/dive-skin.000000.png", ManifestName} {
		j, _ := clipJob(t, t.TempDir(), 4)
		j.Workers = 1
		j.Progress = func(s Progress) {
			if s.Done == 6 {
				assert.NoError(t, os.Remove(filepath.Join(j.Folder, filepath.FromSlash(name))))
			}
		}
		_, err := j.Run(t.Context())
		require.ErrorContains(t, err, "changed", name)
		require.ErrorContains(t, err, "run the export again", name)
	}
}

// Without its manifest a folder is nobody's; files with the right bytes can be adopted.
func TestAFolderWithoutItsManifest(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	j.Sheets = true
	ran(t, j)
	manifest := filepath.Join(j.Folder, ManifestName)
	require.NoError(t, os.Remove(manifest))
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "--adopt")
	since := aged(t, j.Folder)
	j.Adopt = true
	ran(t, j)
	assert.Empty(t, since(), "their bytes are right")
	assert.Equal(t, Report{Good: 8, Beside: 4}, verified(t, j.Folder))

	require.NoError(t, os.Remove(manifest))
	other := filepath.Join(j.Folder, "skin", "dive-skin.000002.png")
	own := read(t, other)
	require.NoError(t, os.WriteFile(other, []byte("painted by hand"), 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, other+" is not adopted: its bytes are not those that this study makes")
	assert.Equal(t, "painted by hand", string(read(t, other)))
	j.Overwrite = true
	ran(t, j)
	assert.Equal(t, own, read(t, other))
	assert.True(t, verified(t, j.Folder).Sound())
}

// Exports are checked in full, however large a file is.
func TestLargeFilesAreCheckedInFull(t *testing.T) {
	out := t.TempDir()
	path := filepath.Join(out, "large.png")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(study.SampledAbove+1)) // a hole takes no room
	require.NoError(t, f.Close())
	print, err := study.MeasureWhole(t.Context(), path)
	require.NoError(t, err)
	sampled, err := study.Measure(t.Context(), path)
	require.NoError(t, err)
	require.NotEqual(t, sampled, print)
	e := Entry{Name: "large.png", Kind: Overlay, Size: print.Size, SHA256: print.SHA256}
	m, err := openManifest(out, ManifestName)
	require.NoError(t, err)
	_, err = m.add(t.Context(), e)
	require.NoError(t, err)
	assert.Equal(t, 1, verified(t, out).Beside)
	_, wrote, err := m.wrote(t.Context(), e.Name, path)
	require.NoError(t, err)
	assert.True(t, wrote)
	f, err = os.OpenFile(path, os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteAt([]byte{1}, 300_000) // between the first two samples
	require.NoError(t, err)
	require.NoError(t, f.Close())
	assert.Len(t, verified(t, out).Faults, 1)
}

// Two pictures of one name are refused before the first is written.
func TestTwoPicturesOfOneName(t *testing.T) {
	j, _ := clipJob(t, filepath.Join(t.TempDir(), "out"), 12)
	j.Mattes[0].Name, j.Mattes[1].Name = "a", "a1"
	for _, text := range []string{"{matte}{frame}.png", "all/{matte}{frame}.png"} {
		var err error
		j.Pattern, err = ParsePattern(text)
		require.NoError(t, err)
		for _, s := range []Shard{{}, {0, 2}, {1, 2}} {
			j.Shard = s
			_, err = j.Run(t.Context())
			require.ErrorContains(t, err, `makes one name of "a1" at frame 0 and of "a" at frame 10`)
			assert.NoDirExists(t, j.Folder)
		}
	}
	// Systems that do not tell small letters from capitals: Windows, macOS (common practice, no source).
	j.Pattern, _ = ParsePattern("{matte}.{frame}.png")
	j.Mattes[1].Name = "A"
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, `makes one name of "a" at frame 0 and of "A" at frame 0`)
}

// Manifests are input: names that lead out, and more frames than any clip has, are
// refused with a way out.
func TestManifestsOfOthers(t *testing.T) {
	sha := strings.Repeat("0", 64)
	entry := func(name string) string {
		return fmt.Sprintf(`{"name":%q,"kind":"matte","frame":1,"digest":"","size":1,"sha256":%q}`, name, sha)
	}
	plan := func(n int, frames string) string {
		rest := fmt.Sprintf(`"kind":"matte","depth":8,"clip":"dive","pattern":"{frame}.png","series":[{"frames":[%q]}]}`, frames+" 0123456789abcdef")
		return fmt.Sprintf(`{"plan":{"number":%d,"hash":"%x",%s}`, n, sha256.Sum256([]byte(`{"number":0,"hash":"",`+rest)), rest)
	}
	for text, says := range map[string]string{
		entry("../x.png"):                      `line 1 names "../x.png", want the name of a file within the folder`,
		entry("/etc/x.png"):                    "want the name of a file within the folder",
		entry("a/../../x.png"):                 "want the name of a file within the folder",
		entry("a//x.png"):                      "want the name of a file within the folder",
		entry(`c:\x.png`):                      "want the name of a file within the folder",
		entry("a.png") + "\n{\"name\"\n":       "line 2 is no entry of a manifest",
		"{\"name\"\n" + entry("a.png"):         "line 1 is no entry of a manifest",
		entry("a.png") + "\n" + plan(1, "1-9"): "",
		entry("a.png") + "\n" + plan(0, "1-9"): "line 2 is no plan that an export writes",
		entry("a.png") + "\n" + plan(1, "9-1"): "line 2 is no entry",
		entry("a.png") + "\n" + plan(1, "0-9000000") + "\n" + plan(2, "0-9000000"): "list more than 10000000 frames",
	} {
		out := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(out, ManifestName), []byte(text+"\n"), 0o666))
		_, err := Verify(t.Context(), nil, out)
		if says == "" {
			assert.NoError(t, err, text)
			continue
		}
		require.ErrorContains(t, err, says, text)
		if strings.Contains(says, "line") {
			assert.ErrorContains(t, err, "remove that line, then export again", "the way out")
		}
	}
}

// 1.7 kB of plans once took 3.5 GB.
func TestPlansOfManyFramesTakeLittle(t *testing.T) {
	var text bytes.Buffer
	fmt.Fprintf(&text, `{"name":"a.png","kind":"matte","frame":1,"digest":"","size":1,"sha256":"00"}`+"\n")
	for n := range 9 {
		rest := `"kind":"matte","depth":8,"clip":"dive","pattern":"{frame}.png","series":[{"frames":["0-9999999 0123456789abcdef"]}]}`
		fmt.Fprintf(&text, `{"plan":{"number":%d,"hash":"%x",%s}`+"\n", n+1, sha256.Sum256([]byte(`{"number":0,"hash":"",`+rest)), rest)
	}
	out := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(out, ManifestName), text.Bytes(), 0o666))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := Verify(t.Context(), nil, out)
	runtime.ReadMemStats(&after)
	require.ErrorContains(t, err, "list more than")
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(10<<20))
}

// Links below the folder that lead out of it are refused before anything is written.
func TestLinksThatLeadOut(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	elsewhere := t.TempDir()
	if err := os.Symlink(elsewhere, filepath.Join(j.Folder, "skin")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, filepath.Join(j.Folder, "skin")+" is a link that leads out of "+j.Folder)
	left, err := os.ReadDir(elsewhere)
	require.NoError(t, err)
	assert.Empty(t, left)
	assert.NoFileExists(t, filepath.Join(j.Folder, ManifestName))

	require.NoError(t, os.Remove(filepath.Join(j.Folder, "skin")))
	require.NoError(t, os.Symlink("sand", filepath.Join(j.Folder, "skin")))
	require.NoError(t, os.Mkdir(filepath.Join(j.Folder, "sand"), 0o777))
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound(), "a link within is the user's own affair")

	whole := t.TempDir()
	link := filepath.Join(t.TempDir(), "out")
	require.NoError(t, os.Symlink(whole, link))
	j.Folder = link
	ran(t, j)
	assert.True(t, verified(t, link).Sound(), "the folder itself may be one")

	path := filepath.Join(whole, "skin", "dive-skin.000001.png")
	require.NoError(t, os.Rename(path, filepath.Join(elsewhere, "x.png")))
	require.NoError(t, os.Symlink(filepath.Join(elsewhere, "x.png"), path))
	r := verified(t, link)
	require.Len(t, r.Faults, 1)
	assert.Equal(t, "a link that leads out of the folder", r.Faults[0].Found)
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "is a link that leads out")
}

// A last line that was cut is told, and left out.
func TestACutLineIsTold(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	ran(t, j)
	path := filepath.Join(j.Folder, ManifestName)
	text := read(t, path)
	require.NoError(t, os.WriteFile(path, text[:len(text)-20], 0o666))
	r := verified(t, j.Folder)
	assert.Equal(t, []string{filepath.ToSlash(path)}, r.Cut)
	assert.False(t, r.Sound())
	var told []string
	j.Adopt, j.Notice = true, func(s string) { told = append(told, s) }
	ran(t, j)
	require.NotEmpty(t, told)
	assert.Contains(t, told[0], "the last line of "+path+" was cut")
	assert.True(t, verified(t, j.Folder).Sound())
}

// Named frames are made again whatever lies there; all else is left.
func TestFramesAreMadeAgain(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 5)
	ran(t, j)
	path := func(n int) string { return filepath.Join(j.Folder, "skin", fmt.Sprintf("dive-skin.%06d.png", n)) }
	own := read(t, path(2))
	var other bytes.Buffer
	require.NoError(t, png.Encode(&other, image.NewGray(image.Rect(0, 0, 8, 6))))
	require.NoError(t, os.WriteFile(path(2), other.Bytes(), 0o666))
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "--redo")
	j.Redo = []clip.Span{{From: 2, To: 2}}
	since := aged(t, j.Folder)
	ran(t, j)
	assert.ElementsMatch(t, []string{"dive-skin.000002.png", "dive-sand.000002.png"}, since())
	assert.Equal(t, own, read(t, path(2)))
	require.NoError(t, os.WriteFile(path(3), other.Bytes(), 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, path(3)+" was changed since", "that one was not named")
}

// Frames whose footage is damaged or gone get no matte; manifest, text and error say so.
func TestBadFramesAreSkipped(t *testing.T) {
	j, folder, _ := sequenceJob(t)
	j.Kind, j.Sheets = Matte, true
	whole := read(t, filepath.Join(folder, "dive.2.png"))
	require.NoError(t, os.Truncate(filepath.Join(folder, "dive.2.png"), 40))
	require.NoError(t, os.Remove(filepath.Join(folder, "dive.4.png")))
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "frame 2: ")
	j.SkipBad = true
	done, err := j.Run(t.Context())
	var skipped *SkippedError
	require.True(t, errors.As(err, &skipped), err)
	assert.Equal(t, []int{2, 4}, skipped.Frames)
	assert.ErrorContains(t, err, "2 frames have no picture, because their footage cannot be read (2, 4): ")
	assert.Len(t, done, 4+2)
	r := verified(t, j.Folder)
	assert.Equal(t, []Gap{{Matte, "skin", 1, "2,4", 2}}, r.Skipped)
	assert.Equal(t, 2, r.Good)
	assert.Empty(t, r.Faults)
	assert.Empty(t, r.Missing)
	assert.False(t, r.Sound())
	assert.NoFileExists(t, filepath.Join(j.Folder, "skin", "dive-skin.000002.png"))
	text := string(read(t, j.Folder, "dive-skin.txt"))
	assert.Contains(t, text, "Without      Frames 2,4 have no picture: their footage cannot be read\n")

	require.NoError(t, os.WriteFile(filepath.Join(folder, "dive.2.png"), whole, 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "dive.4.png"), whole, 0o666))
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound(), "once the footage is there again")
	assert.NotContains(t, string(read(t, j.Folder, "dive-skin.txt")), "Without")
}

// With {version} in their names exports of other settings are counted, so that each stays
// whole; one that was cut short goes on.
func TestVersions(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	var err error
	j.Pattern, err = ParsePattern("v{version}/{matte}.{frame}.png")
	require.NoError(t, err)
	ahead := func() Ahead {
		a, err := j.Ahead()
		require.NoError(t, err)
		return a
	}
	assert.Equal(t, Ahead{Fresh: 8, Version: 1}, ahead())
	part := j
	part.Frames = j.Frames[:1]
	ran(t, part)
	assert.Equal(t, Ahead{Same: 2, Fresh: 6, Version: 1}, ahead(), "other frames of the same settings")
	killedAt(t, j, 3)
	assert.Equal(t, "v1/skin.0.png", ran(t, j)[0].Name)
	assert.Equal(t, Ahead{Same: 8, Version: 1}, ahead())
	j.Study.Base.Exposure.Set(0, 0.7)
	assert.Equal(t, Ahead{Fresh: 8, Version: 2}, ahead())
	shards(t, j, 3)
	assert.Equal(t, Report{Good: 16}, verified(t, j.Folder))
	assert.FileExists(t, filepath.Join(j.Folder, "v2", "skin.3.png"))
	j.Version = 1
	assert.Equal(t, Ahead{Replaced: 8, Version: 1}, ahead())
}

// Nothing is written over what the export is made of, and nothing through a link that leads
// out, whatever it may overwrite or adopt.
func TestWhatIsReadIsNeverWrittenOver(t *testing.T) {
	j, folder, _ := sequenceJob(t)
	j.Overwrite, j.Adopt = true, true
	source := filepath.Join(folder, "dive.2.png")
	before := read(t, source)
	flat, err := ParsePattern("dive.{frame}.png")
	require.NoError(t, err)
	other, err := ParsePattern("9{frame}.png")
	require.NoError(t, err)
	for _, p := range []Pattern{flat, other} {
		in := j
		in.Pattern, in.Folder = p, folder
		_, err = in.Run(t.Context())
		require.ErrorContains(t, err, "export: "+folder)
		require.Regexp(t, "never written over|among the frames of the footage", err.Error())
	}
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, files, 4)
	notes := filepath.Join(folder, "notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte("dear diary"), 0o666))
	j.Kind, j.Sheets = Matte, true
	for name, target := range map[string]string{"skin/dive-skin.000002.png": source, "dive-skin.txt": notes} {
		link := filepath.Join(j.Folder, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(link), 0o777))
		if err := os.Symlink(target, link); err != nil {
			t.Skip("no symbolic links here:", err)
		}
		_, err := j.Run(t.Context())
		require.Error(t, err, name)
		require.NoError(t, os.Remove(link))
	}
	assert.Equal(t, before, read(t, source))
	assert.Equal(t, "dear diary", string(read(t, notes)))

	// A text of somebody else's is not adopted.
	j.Overwrite = false
	own := filepath.Join(j.Folder, "dive-skin.txt")
	require.NoError(t, os.WriteFile(own, []byte("dear diary"), 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, own+" is not adopted")
	assert.Equal(t, "dear diary", string(read(t, own)))
}

// What lies beside pictures that were made anew without it is told as of earlier ones; what
// a plan was to have beside them and nothing wrote is missed.
func TestWhatLiesBesideIsOfItsPictures(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 3)
	j.Sheets = true
	ran(t, j)
	j.Mattes[0].Edge.Soften.Fix(3)
	var told []string
	bare := j
	bare.Sheets, bare.Notice = false, func(s string) { told = append(told, s) }
	ran(t, bare)
	r := verified(t, j.Folder)
	assert.False(t, r.Sound())
	require.Len(t, r.Faults, 2, "the other matte is as it was")
	assert.Equal(t, "of earlier pictures", r.Faults[0].Found)
	assert.Contains(t, strings.Join(told, "\n"), "dive-"+j.Mattes[0].Name+".txt")
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound())

	out := t.TempDir()
	k, _ := clipJob(t, out, 3)
	k.Sheets = true
	killedAt(t, k, 6) // all pictures are there
	r = verified(t, k.Folder)
	assert.Equal(t, 6, r.Good)
	require.NotEmpty(t, r.Faults)
	assert.Equal(t, "never written", r.Faults[0].Found)
	ran(t, k)
	assert.True(t, verified(t, k.Folder).Sound())
}

func TestFramesToBeMadeAgainAreExported(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	j.Redo = []clip.Span{{From: 2, To: 9}}
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "frame 4 is to be made again, and is not among the 4 frames that this run exports")
}

func TestAPictureInNoPlanIsTold(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	ran(t, j)
	path := filepath.Join(j.Folder, ManifestName)
	var kept []byte
	for line := range bytes.Lines(read(t, path)) {
		if !bytes.HasPrefix(line, []byte(`{"plan"`)) {
			kept = append(kept, line...)
		}
	}
	require.NoError(t, os.WriteFile(path, kept, 0o666))
	r := verified(t, j.Folder)
	require.Len(t, r.Faults, 4)
	assert.Equal(t, "in no plan", r.Faults[0].Found)
}
