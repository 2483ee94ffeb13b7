package cmd_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "halocline"

// A layer is what a package may import of this module.
type layer struct {
	imports []string
	tests   []string // its tests besides
	window  bool     // it may import Fyne
}

// layers says who may import whom:
//
//	colour <- colour/guided <- selection; colour <- mask; colour/guided, mask <- mask/edge
//	selection, mask <- app/study, app/render <- app/export, app/check
//	       <- app/proof <- app/batch, app/ui <- app <- cmd
//	app/check <- app/check/seam <- app/check/shot
//	colour <- app/motion <- app/settle <- app/render; app/motion, mask/edge <- app/follow <- app/render
//	app/render <- app/retrace <- app/spare <- app/desk, app/batch
//	app/render <- app/view <- app/export, app/proof; app/ink <- app/proof
//
// selection and mask do not know each other, app/scene knows colour alone, app/clip besides how
// files and programs are opened, and app/batch knows nothing of the window. Tests, and no others, may import testdata.
var layers = map[string]layer{
	"assets":              {},
	"colour":              {},
	"colour/guided":       {imports: []string{"colour"}},
	"selection":           {imports: []string{"colour", "colour/guided"}},
	"mask":                {imports: []string{"colour"}},
	"mask/edge":           {imports: []string{"colour", "colour/guided", "mask"}},
	"app/regular":         {},
	"app/program":         {},
	"app/clip":            {imports: []string{"colour", "app/program", "app/regular"}},
	"app/scene":           {imports: []string{"colour"}, tests: []string{"assets", "selection", "mask"}},
	"app/scene/staging":   {imports: under("app/scene", "app/work", "app/study", "app/render", "app/export", "app/check", "app/check/seam", "app/check/shot", "app/clip"), tests: []string{"assets"}},
	"app/study":           {imports: under("app/regular")},
	"app/cdl":             {imports: []string{"app/regular", "app/study", "colour"}},
	"app/clf":             {imports: []string{"app/regular", "app/study", "colour"}},
	"app/follow":          {imports: under("mask/edge", "app/motion")},
	"app/follow/kept":     {imports: []string{"app/regular"}},
	"app/settle":          {imports: []string{"app/motion", "colour"}},
	"app/render":          {imports: under("app/study", "mask/edge", "app/motion", "app/follow", "app/settle", "app/regular"), tests: []string{"app/clip", "app/scene"}},
	"app/spare":           {imports: under("mask/edge", "app/study", "app/render", "app/retrace")},
	"app/retrace":         {imports: under("mask/edge", "app/study", "app/render")},
	"app/view":            {imports: under("app/study", "app/render"), tests: []string{"app/scene"}},
	"app/view/density":    {imports: under()},
	"app/export":          {imports: under("app/regular", "app/program", "app/clip", "app/timecode", "app/study", "app/render", "app/view"), tests: []string{"app/scene"}},
	"app/contact":         {imports: under("app/study", "app/render", "app/view", "app/ink")},
	"app/check":           {imports: engine, tests: []string{"app/scene"}},
	"app/check/seam":      {imports: under("app/study", "app/render", "app/check"), tests: []string{"app/scene"}},
	"app/check/shot":      {imports: under("app/regular", "app/study", "app/follow", "app/render", "app/check", "app/check/seam")},
	"app/motion":          {imports: []string{"colour"}, tests: []string{"app/scene"}},
	"app/proof":           {imports: under("app/study", "app/render", "app/view", "app/check", "app/check/seam", "app/check/shot", "app/ink"), tests: []string{"app/scene"}},
	"app/work":            {imports: under("assets", "app/regular", "app/clip", "app/study", "app/render")},
	"app/carry":           {imports: under("app/clip", "app/study", "app/render", "app/work"), tests: []string{"app/scene", "app/scene/staging", "app/export", "app/check"}},
	"app/batch":           {imports: batchImports},
	"app/ink":             {},
	"app/ui/look":         {imports: under("app/ink", "app/study"), window: true},
	"app/ui/viewer":       {imports: []string{"app/view", "app/ink", "app/ui/look"}, window: true},
	"app/ui/field":        {imports: under("app/view/density", "app/ink", "app/study", "app/ui/look"), window: true},
	"app/ui/handles":      {imports: under("app/view", "app/ink", "app/ui/look", "app/ui/viewer"), window: true},
	"app/flash":           {imports: []string{"colour"}},
	"app/desk":            {imports: under("mask/edge", "app/follow", "app/follow/kept", "app/desk/watch", "app/contact", "app/carry", "app/retrace", "app/spare", "app/clip", "app/cdl", "app/study", "app/render", "app/view", "app/ink", "app/check", "app/check/seam", "app/check/shot", "app/proof", "app/work")},
	"app/desk/watch":      {imports: under("app/clip", "app/study", "app/render", "app/view", "app/view/density", "app/check", "app/check/seam", "app/check/shot", "app/proof", "app/flash")},
	"app/timecode":        {},
	"app/ui/timeline":     {imports: under("app/timecode", "app/ink", "app/study", "app/ui/look"), window: true},
	"app/ui/sheets":       {imports: under("app/desk", "app/desk/watch", "app/contact", "app/carry", "app/clip", "app/study", "app/view", "app/export", "app/ui/look"), tests: []string{"app/ui/stage", "app/work"}, window: true},
	"app/ui/proofs":       {imports: under("app/desk", "app/desk/watch", "app/study", "app/render", "app/view", "app/export", "app/proof", "app/ui/look", "app/ui/sheets"), tests: []string{"app/ui/stage", "app/work"}, window: true},
	"app/ui/judge":        {imports: under("app/desk", "app/desk/watch", "app/study", "app/view", "app/check", "app/check/shot", "app/proof", "app/ui/look"), window: true},
	"app/ui/journal":      {imports: under("app/desk", "app/desk/watch", "app/ui/look", "app/ui/viewer", "app/ui/field", "app/ui/timeline", "app/ui/proofs"), tests: []string{"app/ui/stage"}, window: true},
	"app/ui/timebar":      {imports: under("app/desk", "app/desk/watch", "app/clip", "app/timecode", "app/study", "app/check/shot", "app/ui/look", "app/ui/timeline", "app/ui/sheets", "app/ui/journal"), tests: []string{"app/ui/stage", "app/check", "app/work", "assets"}, window: true},
	"app/ui/files":        {imports: under("app/desk", "app/cdl", "app/clip", "app/study", "app/work", "app/ui/look", "app/ui/sheets", "app/ui/journal"), tests: []string{"app/ui/stage"}, window: true},
	"app/ui/panels":       {imports: under("app/desk", "app/ink", "app/study", "app/view/density", "app/work", "app/ui/look", "app/ui/field"), tests: []string{"app/ui/stage", "app/cdl", "app/view"}, window: true},
	"app/ui/frame":        {imports: under("app/desk", "app/desk/watch", "app/study", "app/render", "app/view", "app/check/seam", "app/ink", "app/ui/look", "app/ui/viewer", "app/ui/handles"), tests: []string{"app/ui/stage", "app/work"}, window: true},
	"app/ui/status":       {imports: under("app/desk", "app/desk/watch", "app/study", "app/ui/look"), tests: []string{"app/ui/stage", "app/work"}, window: true},
	"app/ui/stage":        {imports: under("assets", "app/study", "app/work", "app/ui/look"), window: true},
	"app/ui":              {imports: windowImports, tests: []string{"app/ui/stage"}, window: true},
	"app":                 {imports: append([]string{"app/ui"}, windowImports...), window: true},
	"cmd":                 {},
	"cmd/halocline":       {imports: []string{"app"}, tests: []string{"app/study"}, window: true},
	"cmd/halocline-batch": {imports: []string{"app/batch"}},
}

var (
	engine       = []string{"colour", "selection", "mask"}
	batchImports = under("mask/edge", "app/follow", "app/follow/kept", "assets", "app/regular", "app/retrace", "app/spare", "app/work", "app/study", "app/cdl", "app/clf", "app/render", "app/view", "app/export", "app/check", "app/check/seam", "app/check/shot", "app/proof", "app/clip", "app/timecode", "app/scene", "app/scene/staging", "app/ink", "app/contact", "app/carry")

	windowImports = append([]string{"app/desk", "app/desk/watch", "app/ui/look", "app/ui/viewer", "app/ui/field", "app/ui/handles", "app/ui/timeline", "app/ui/sheets", "app/ui/proofs", "app/ui/judge", "app/ui/journal", "app/ui/timebar", "app/ui/files", "app/ui/panels", "app/ui/frame", "app/ui/status", "app/flash", "app/view/density"}, batchImports...)
)

// under is the engine and what stands on it.
func under(names ...string) []string { return append(slices.Clone(engine), names...) }

// importFault says what is wrong with an import of a package, which is named by its
// folder. test tells whether a test file has it.
func importFault(folder, imported string, test bool) error {
	l, ok := layers[folder]
	if !ok {
		return fmt.Errorf("%s has no layer: add it to the table", folder)
	}
	own, ours := strings.CutPrefix(imported, module+"/")
	switch {
	case imported == "C":
		return fmt.Errorf("%s calls C: it must build with CGO_ENABLED=0", folder)
	case strings.HasPrefix(imported, "fyne.io/"):
		if !l.window {
			return fmt.Errorf("%s imports %s: only the window may", folder, imported)
		}
	case !ours, slices.Contains(l.imports, own):
	case test && (own == folder || own == "testdata" || slices.Contains(l.tests, own)):
	default:
		return fmt.Errorf("%s imports %s, which is not below it", folder, own)
	}
	return nil
}

// imports calls each for every import in every Go file of the module.
func imports(t *testing.T, each func(folder, file, imported string)) {
	t.Helper()
	root := ".."
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name != root && (strings.HasPrefix(d.Name(), ".") || strings.HasPrefix(d.Name(), "_") || d.Name() == "testdata") {
				return fs.SkipDir
			}
			return nil
		}
		if path.Ext(d.Name()) != ".go" || strings.HasPrefix(d.Name(), ".") || strings.HasPrefix(d.Name(), "_") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		folder, err := filepath.Rel(root, filepath.Dir(name))
		if err != nil {
			return err
		}
		each(filepath.ToSlash(folder), d.Name(), "") // a package without imports needs its layer too
		for _, i := range f.Imports {
			imported, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			each(filepath.ToSlash(folder), d.Name(), imported)
		}
		return nil
	})
	require.NoError(t, err)
}

func TestArchitecture(t *testing.T) {
	seen := map[string]bool{}
	imports(t, func(folder, file, imported string) {
		seen[folder] = true
		err := importFault(folder, imported, strings.HasSuffix(file, "_test.go"))
		assert.NoError(t, err, path.Join(folder, file))
	})
	for _, folder := range []string{"colour", "selection", "mask", "app/study", "app/batch", "cmd", "cmd/halocline-batch"} {
		assert.True(t, seen[folder], "%s was not looked at", folder)
	}
}

// The table itself has no way back up.
func TestLayersHaveNoCycle(t *testing.T) {
	var climb func(way []string)
	climb = func(way []string) {
		last := way[len(way)-1]
		require.Contains(t, layers, last)
		require.NotContains(t, way[:len(way)-1], last, "%v", way)
		for _, next := range layers[last].imports {
			climb(append(slices.Clone(way), next))
		}
	}
	for folder := range layers {
		climb([]string{folder})
	}
}

func TestImportRuleBites(t *testing.T) {
	for _, tt := range []struct {
		folder, imported string
		test             bool
		want             string // empty: allowed
	}{
		{"colour", "math", false, ""},
		{"colour", "golang.org/x/image/draw", false, ""},
		{"app/ui/look", "halocline/app/ink", false, ""},
		{"selection", "halocline/colour", false, ""},
		{"selection", "halocline/colour/guided", false, ""},
		{"colour/guided", "halocline/colour", false, ""},
		{"app/study", "halocline/mask", false, ""},
		{"app/batch", "halocline/app/export", false, ""},
		{"app/ui", "fyne.io/fyne/v2/widget", false, ""},
		{"app", "fyne.io/fyne/v2/app", false, ""},
		{"app", "halocline/app/ui", false, ""},
		{"cmd/halocline", "fyne.io/fyne/v2", false, ""},
		{"colour", "halocline/colour", true, ""},
		{"app/render", "halocline/app/scene", true, ""},
		{"colour", "halocline/testdata", true, ""},

		{"colour", "fyne.io/fyne/v2", false, "colour imports fyne.io/fyne/v2: only the window may"},
		{"app/study", "fyne.io/fyne/v2/data/binding", true, "app/study imports fyne.io/fyne/v2/data/binding: only the window may"},
		{"app/view", "fyne.io/fyne/v2", false, "app/view imports fyne.io/fyne/v2: only the window may"},
		{"app/view", "halocline/app/export", false, "app/view imports app/export, which is not below it"},
		{"app/ink", "fyne.io/fyne/v2/theme", false, "app/ink imports fyne.io/fyne/v2/theme: only the window may"},
		{"app/batch", "fyne.io/systray", false, "app/batch imports fyne.io/systray: only the window may"},
		{"cmd/halocline-batch", "fyne.io/fyne/v2", false, "cmd/halocline-batch imports fyne.io/fyne/v2: only the window may"},
		{"colour", "halocline/selection", false, "colour imports selection, which is not below it"},
		{"colour", "halocline/colour/guided", false, "colour imports colour/guided, which is not below it"},
		{"colour/guided", "halocline/selection", true, "colour/guided imports selection, which is not below it"},
		{"colour", "halocline/selection", true, "colour imports selection, which is not below it"},
		{"selection", "halocline/mask", false, "selection imports mask, which is not below it"},
		{"mask", "halocline/selection", false, "mask imports selection, which is not below it"},
		{"app/clip", "halocline/app/study", false, "app/clip imports app/study, which is not below it"},
		{"app/study", "halocline/app/render", false, "app/study imports app/render, which is not below it"},
		{"app/render", "halocline/app/clip", false, "app/render imports app/clip, which is not below it"},
		{"app/export", "halocline/app/check", false, "app/export imports app/check, which is not below it"},
		{"app/batch", "halocline/app", false, "app/batch imports app, which is not below it"},
		{"app/batch", "halocline/app/ui", true, "app/batch imports app/ui, which is not below it"},
		{"app/ui", "halocline/app/batch", false, "app/ui imports app/batch, which is not below it"},
		{"cmd/halocline-batch", "halocline/app/study", false, "cmd/halocline-batch imports app/study, which is not below it"},
		{"colour", "halocline/testdata", false, "colour imports testdata, which is not below it"},
		{"selection", "C", false, "selection calls C: it must build with CGO_ENABLED=0"},
		{"app/util", "math", false, "app/util has no layer: add it to the table"},
		{"app/util", "", false, "app/util has no layer: add it to the table"},
	} {
		err := importFault(tt.folder, tt.imported, tt.test)
		if tt.want == "" {
			assert.NoError(t, err)
			continue
		}
		assert.EqualError(t, err, tt.want)
	}
}
