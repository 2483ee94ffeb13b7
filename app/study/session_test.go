package study

import (
	"errors"
	"fmt"
	"hash/maphash"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

func expose(v float64) func(*Study) error {
	return func(s *Study) error {
		s.Base.Exposure.Fix(v)
		return nil
	}
}

func TestFailedEditChangesNothing(t *testing.T) {
	s := NewSession(transect(t), "")
	before := s.Study()
	text := encoded(t, before)
	oops := errors.New("oops")
	assert.Equal(t, oops, s.Edit("half done", func(d *Study) error {
		d.Mattes[0].Masks[0].Keys[0].Points[0].X = 99
		d.Mattes[0].Dabs[0].X = 99
		d.Base.Path.Keys[0].Value = 99
		d.Mattes[0].Pick.Limits[0].Keys[0].Value.From = 99
		return oops
	}))
	assert.EqualError(t, s.Edit("not valid", expose(math.NaN())), "study: base: exposure is NaN, want -20 to 20")
	assert.Panics(t, func() { s.Edit("panic", func(*Study) error { panic("change") }) })
	assert.Same(t, before, s.Study())
	assert.Equal(t, text, encoded(t, s.Study()))
	assert.Empty(t, s.UndoLabels())
	require.NoError(t, s.Edit("after a panic the door is open", expose(1)))
}

func TestUndoRedoLabels(t *testing.T) {
	s := NewSession(transect(t), "")
	require.NoError(t, s.Edit("a", expose(1)))
	require.NoError(t, s.Edit("b", expose(2)))
	require.NoError(t, s.Edit("nothing", expose(2)))
	assert.Equal(t, []string{"b", "a"}, s.UndoLabels())
	require.True(t, s.Undo())
	assert.Equal(t, []string{"a"}, s.UndoLabels())
	assert.Equal(t, []string{"b"}, s.RedoLabels())
	assert.Equal(t, 1.0, s.Study().Base.At(1).Exposure)
	require.True(t, s.Redo())
	assert.Equal(t, 2.0, s.Study().Base.At(1).Exposure)
	require.True(t, s.Undo())
	require.NoError(t, s.Edit("c", expose(3)))
	assert.Empty(t, s.RedoLabels())
	require.True(t, s.Undo())
	require.True(t, s.Undo())
	require.False(t, s.Undo())
}

func TestIdsAreNeverUsedAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.halocline")
	s := NewSession(transect(t), "")
	var ids []int
	add := func(d *Study) error {
		ids = append(ids, d.AddMatte("sand", selection.HSL).ID)
		return nil
	}
	require.NoError(t, s.Edit("add", add))
	require.True(t, s.Undo())
	require.NoError(t, s.Edit("add", add))
	require.True(t, s.Undo())
	require.NoError(t, s.SaveAs(path))
	again, err := Load(path)
	require.NoError(t, err)
	s = NewSession(again, path)
	require.NoError(t, s.Edit("add", add))
	assert.Equal(t, []int{9, 10, 11}, ids)
}

func TestDragIsOneEdit(t *testing.T) {
	s := NewSession(transect(t), "")
	start := s.Study()
	d := s.Begin("drag exposure")
	more := func(s *Study) error {
		s.Base.Exposure.Fix(s.Base.Exposure.Value + 1)
		return nil
	}
	require.NoError(t, d.Edit(more))
	require.NoError(t, d.Edit(more))
	assert.Equal(t, 1.3, s.Study().Base.At(1).Exposure, "each edit starts from where the drag began")
	require.Error(t, d.Edit(expose(1000)))
	assert.Equal(t, 1.3, s.Study().Base.At(1).Exposure)
	d.Commit()
	assert.Equal(t, []string{"drag exposure"}, s.UndoLabels())
	assert.EqualError(t, d.Edit(more), "study: the drag has ended")
	require.True(t, s.Undo())
	assert.Same(t, start, s.Study())

	d = s.Begin("cancelled")
	require.NoError(t, d.Edit(more))
	d.Cancel()
	d.Cancel()
	assert.Same(t, start, s.Study())
	assert.Equal(t, []string{"drag exposure"}, s.RedoLabels(), "a cancelled drag leaves redo alone")

	s.Begin("back to where it was").Commit()
	assert.Empty(t, s.UndoLabels())

	d = s.Begin("interrupted")
	require.NoError(t, d.Edit(more))
	require.NoError(t, s.Edit("other", func(s *Study) error { s.Base.Water = "I"; return nil }))
	assert.Equal(t, []string{"other", "interrupted"}, s.UndoLabels())
	d.Cancel()
	assert.Equal(t, 1.3, s.Study().Base.At(1).Exposure, "an ended drag cannot be cancelled")
	d = s.Begin("undone")
	require.NoError(t, d.Edit(more))
	require.True(t, s.Undo())
	assert.Equal(t, 1.3, s.Study().Base.At(1).Exposure)
}

func TestSessionFromManyGoroutines(t *testing.T) {
	s := NewSession(transect(t), filepath.Join(t.TempDir(), "a.halocline"))
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 20 {
				assert.NoError(t, s.Edit("more", func(d *Study) error {
					d.AddDab(&d.Mattes[0], Dab{Frame: 1, Radius: 1})
					return nil
				}))
				s.Dirty()
				s.Study().DigestFinished(3)
			}
		})
	}
	wg.Go(func() { assert.NoError(t, s.Autosave()) })
	wg.Go(func() { assert.NoError(t, s.Save()) })
	wg.Wait()
	assert.Len(t, s.Study().Mattes[0].Dabs, 2+80)
	assert.Len(t, s.UndoLabels(), 80)
}

// places collects the addresses of all slices in a value.
func places(v reflect.Value, into map[uintptr]bool) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			places(v.Field(i), into)
		}
	case reflect.Array, reflect.Slice:
		if v.Kind() == reflect.Slice && v.Len() > 0 {
			into[v.Pointer()] = true
		}
		for i := range v.Len() {
			places(v.Index(i), into)
		}
	case reflect.Map, reflect.Pointer, reflect.Interface, reflect.Func, reflect.Chan:
		panic("a study is plain data, but holds a " + v.Kind().String())
	}
}

func TestCloneSharesNothing(t *testing.T) {
	s := transect(t)
	c := s.Clone()
	require.Equal(t, s, c)
	mine, theirs := map[uintptr]bool{}, map[uintptr]bool{}
	places(reflect.ValueOf(*s), mine)
	places(reflect.ValueOf(*c), theirs)
	require.Greater(t, len(mine), 15)
	for p := range mine {
		assert.False(t, theirs[p])
	}
}

// The study of each edit shares what that edit left alone.
func TestEditsShareLists(t *testing.T) {
	s := NewSession(transect(t), "")
	before := s.Study()
	require.NoError(t, s.Edit("one point", func(d *Study) error {
		d.Mattes[0].Masks[0].Keys[0].Points[0].X++
		return nil
	}))
	mine, theirs := map[uintptr]bool{}, map[uintptr]bool{}
	places(reflect.ValueOf(*before), mine)
	places(reflect.ValueOf(*s.Study()), theirs)
	shared := 0
	for p := range mine {
		if theirs[p] {
			shared++
		}
	}
	// What is new: the mattes, the mask's keys and points, the lists that hold them.
	assert.GreaterOrEqual(t, shared, len(mine)-8)
	assert.NotEqual(t, before.Mattes[0].Masks[0].Keys[0].Points[0], s.Study().Mattes[0].Masks[0].Keys[0].Points[0])
}

// An edit of any number of a mask's key is kept, also where all the rest stays.
func TestEditsOfOneNumberOfAKeyAreKept(t *testing.T) {
	fields := reflect.TypeFor[MaskKey]()
	for i := range fields.NumField() {
		s := NewSession(transect(t), "")
		keyOf := func(d *Study) reflect.Value { return reflect.ValueOf(&d.Mattes[0].Masks[0].Keys[0]).Elem().Field(i) }
		before := s.Study()
		require.NoError(t, s.Edit("one number", func(d *Study) error {
			switch v := keyOf(d); v.Kind() {
			case reflect.Int:
				v.SetInt(1 - v.Int())
			case reflect.Float64:
				v.SetFloat(v.Float() / 2)
			case reflect.Bool:
				v.SetBool(!v.Bool())
			case reflect.Slice:
				d.Mattes[0].Masks[0].Keys[0].Points[0].X++
			default:
				t.Fatalf("%s is of an unknown kind", fields.Field(i).Name)
			}
			return nil
		}))
		assert.NotEqual(t, keyOf(before).Interface(), keyOf(s.Study()).Interface(), fields.Field(i).Name)
	}
}

// randomEdit changes one thing somewhere, valid or not.
func randomEdit(r *rand.Rand, s *Study) error {
	if len(s.Mattes) == 0 || r.IntN(25) == 0 && len(s.Mattes) < 4 {
		s.AddMatte([]string{"skin", "water", "Skin"}[r.IntN(3)], selection.Model(r.IntN(2)))
		return nil
	}
	m := &s.Mattes[r.IntN(len(s.Mattes))]
	frame := r.IntN(100)
	all := s.Base.Settings()
	if r.IntN(2) == 0 {
		all = append(m.Edge.Settings(), m.Trial.Settings()...)
	}
	set := all[r.IntN(len(all))]
	v := set.Min + (set.Max-set.Min)*r.Float64()
	switch r.IntN(16) {
	case 0, 1, 2:
		set.Track.Set(frame, v)
	case 3:
		set.Track.SetKey(frame, v, mask.Way(r.IntN(3)))
	case 4:
		set.Track.RemoveKey(frame)
	case 5:
		set.Track.Fix(v)
	case 6:
		l := &m.Pick.Limits[r.IntN(3)]
		full := selection.Channel(1).FullScale(m.Pick.Model)
		l.Off, l.Inverted = r.IntN(2) == 0, r.IntN(2) == 0
		l.SetKey(r.IntN(3), selection.Range{From: full * r.Float64(), To: full * (1 + r.Float64()), Before: full * r.Float64()}, mask.Way(r.IntN(3)))
	case 7:
		if len(m.Masks) < 3 {
			s.AddMask(m, "mask", Kind(r.IntN(2)), square(frame, r.Float64(), r.NormFloat64(), 10))
		}
	case 8:
		if len(m.Masks) > 0 {
			m.Masks[0].SetKey(square(r.IntN(4), r.NormFloat64()*100, 0, 20))
		}
	case 9:
		if len(m.Masks) > 0 {
			k := &m.Masks[len(m.Masks)-1].Keys[0]
			switch r.IntN(6) {
			case 0:
				k.Opacity = r.Float64()
			case 1:
				k.Way = mask.Way(r.IntN(3))
			case 2:
				k.Inner = r.Float64()
			case 3:
				k.Outer = r.Float64()
			default:
				k.Points[r.IntN(4)].Y = r.NormFloat64()
			}
		}
	case 10:
		if len(m.Masks) > 0 {
			m.Masks = m.Masks[1:]
		}
	case 11:
		s.AddDab(m, Dab{Frame: frame, X: r.Float64() * 4000, Y: 3, Radius: 2, Kind: Kind(r.IntN(2))})
	case 12:
		m.Dabs = m.Dabs[:len(m.Dabs)/2]
	case 13:
		if m.Proofs = m.Proofs[:len(m.Proofs)/2]; r.IntN(2) == 0 {
			s.KeepProof(m, "proof")
		} else if len(m.Proofs) > 0 {
			return m.TakeProof(m.Proofs[0].ID)
		}
	case 14:
		if r.IntN(8) == 0 {
			return s.RemoveMatte(m.ID)
		}
		m.Note = fmt.Sprint("note ", frame)
	case 15:
		set.Track.Fix([]float64{math.NaN(), math.Inf(1), 1e300}[r.IntN(3)])
	}
	return nil
}

// print is a fingerprint of all of a study's values but for the ids it has used.
func print(s *Study) uint64 {
	c := *s
	c.Next = 0
	var h maphash.Hash
	h.SetSeed(seed)
	hashValue(&h, reflect.ValueOf(c))
	return h.Sum64()
}

var seed = maphash.MakeSeed()

func hashValue(h *maphash.Hash, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			hashValue(h, v.Field(i))
		}
	case reflect.Array, reflect.Slice:
		maphash.WriteComparable(h, v.Len())
		for i := range v.Len() {
			hashValue(h, v.Index(i))
		}
	case reflect.Int, reflect.Int64:
		maphash.WriteComparable(h, v.Int())
	case reflect.Float64:
		maphash.WriteComparable(h, v.Float())
	case reflect.Bool:
		maphash.WriteComparable(h, v.Bool())
	case reflect.String:
		maphash.WriteComparable(h, v.String())
	default:
		panic("a study is plain data, but holds a " + v.Kind().String())
	}
}

// Random edits, all undone, all redone: after every edit the study is what it was
// there before; on the way back every study also goes through the file's form,
// on both ways every five hundredth through a file. 10,000 edits where HALOCLINE_ALL is set.
func TestRandomEditsUndoRedoSaveLoad(t *testing.T) {
	edits := 3000
	switch {
	case testing.Short():
		edits = 500
	case os.Getenv("HALOCLINE_ALL") != "":
		edits = 10_000
	}
	r := rand.New(rand.NewPCG(3, 1))
	path := filepath.Join(t.TempDir(), "a.halocline")
	s := NewSession(New(Clip{Path: "/dive/a.png", Count: 100}), "")
	prints := []uint64{print(s.Study())}
	refused := 0
	for range edits {
		before := s.Study()
		var want *Study
		err := s.Edit("edit", func(d *Study) error {
			err := randomEdit(r, d)
			want = d.Clone()
			return err
		})
		if err == nil {
			want.tidy()
			require.True(t, same(want, s.Study()), "what is current is not what the edit made")
		} else {
			refused++
		}
		if s.Study() != before {
			prints = append(prints, print(s.Study()))
		}
	}
	require.Len(t, s.UndoLabels(), len(prints)-1)
	require.Greater(t, len(prints), edits/2)
	require.Greater(t, refused, edits/50)
	check := func(i int, encode bool) {
		if prints[i] != print(s.Study()) {
			require.Fail(t, "the study differs", "edit %d", i)
		}
		if i%500 == 0 {
			require.NoError(t, s.SaveAs(path))
			got, err := Load(path)
			require.NoError(t, err)
			require.True(t, same(s.Study(), got), "edit %d", i)
			require.False(t, s.Dirty())
		} else if encode {
			require.True(t, same(s.Study(), decoded(t, encoded(t, s.Study()))), "edit %d", i)
		}
	}
	for i := len(prints) - 2; i >= 0; i-- {
		require.True(t, s.Undo())
		check(i, true)
	}
	require.False(t, s.Undo())
	for i := 1; i < len(prints); i++ {
		require.True(t, s.Redo())
		check(i, false) // the same studies again
	}
	require.False(t, s.Redo())
}

// What is done beside the study is undone in its turn, and changes nothing of it.
func TestActsBesideTheStudy(t *testing.T) {
	s := NewSession(transect(t), "")
	part, other := "whole", "part"
	turn := func() { part, other = other, part }
	require.NoError(t, s.Edit("exposure", expose(1)))
	turn()
	s.Beside("part in work", turn)
	was := s.Study()
	require.NoError(t, s.Edit("again", expose(2)))
	assert.Equal(t, []string{"again", "part in work", "exposure"}, s.UndoLabels())
	require.True(t, s.Undo())
	assert.Equal(t, "part", part)
	require.True(t, s.Undo())
	assert.Equal(t, "whole", part)
	assert.Same(t, was, s.Study())
	assert.Equal(t, []string{"part in work", "again"}, s.RedoLabels())
	require.True(t, s.Redo())
	assert.Equal(t, "part", part)
	require.True(t, s.Redo())
	assert.Equal(t, 2.0, s.Study().Base.At(1).Exposure)
}
