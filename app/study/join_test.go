package study

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// threeMattes is a study with mattes a, b and c, each with a keep and a drop dab.
func threeMattes() *Study {
	s := New(Clip{Path: "/dive/reef.png", First: 1, Count: 9})
	for _, name := range []string{"a", "b", "c"} {
		m := s.AddMatte(name, selection.LCh)
		s.AddDab(m, Dab{Frame: 1, X: 1, Y: 1, Radius: 2, Kind: Keep})
		s.AddDab(m, Dab{Frame: 1, X: 9, Y: 9, Radius: 2, Kind: Drop})
	}
	return s
}

func takeIn(s *Study, a, b int, how How) {
	s.Mattes[a].Joins = append(s.Mattes[a].Joins, Join{With: s.Mattes[b].ID, How: how})
}

func TestMattesCannotGoRound(t *testing.T) {
	s := threeMattes()
	takeIn(s, 0, 1, Add)
	takeIn(s, 1, 2, TakeAway)
	takeIn(s, 0, 2, Within)
	require.NoError(t, s.Validate(), "two ways to one matte are no circle")
	assert.Nil(t, s.Circle())
	assert.Equal(t, []*Matte{&s.Mattes[1], &s.Mattes[2]}, s.JoinedMattes(&s.Mattes[0].Settings), "each once")
	assert.Equal(t, []*Matte{&s.Mattes[0], &s.Mattes[1]}, s.TakenInBy(s.Mattes[2].ID))

	session := NewSession(s, "")
	err := session.Edit("join", func(d *Study) error { takeIn(d, 2, 0, Add); return nil })
	require.ErrorContains(t, err, `mattes take one another in, round and round: "a" takes in "b" takes in "c" takes in "a"`)
	assert.Same(t, s, session.Study(), "nothing is done")
	takeIn(s, 2, 2, Add)
	require.ErrorContains(t, s.Validate(), `matte "c": takes in itself`)
	s.Mattes[2].Joins[0].With = 999
	require.ErrorContains(t, s.Validate(), `matte "c": takes in a matte with id 999, which is not there`)
	s.Mattes[2].Joins[0] = Join{With: s.Mattes[0].ID, How: 9}
	require.ErrorContains(t, s.Validate(), `want one of add, touching, takeAway, within`)
	require.NotPanics(t, func() {
		s.Mattes[2].Joins[0].How = Add
		s.SettingsAt(&s.Mattes[0].Settings, 1) // even what is not checked ends
		s.DabsOf(&s.Mattes[0])
	})
}

// ladder is a study of so many mattes, of which each takes in those just before it, by so
// many ways.
func ladder(mattes, before int) *Study {
	s := New(Clip{Path: "/dive/reef.png", First: 1, Count: 9})
	for i := range mattes {
		s.AddMatte(fmt.Sprintf("m%d", i+1), selection.LCh)
		for j := max(i-before, 0); j < i; j++ {
			takeIn(s, i, j, Add)
		}
	}
	return s
}

func TestAMatteIsTakenInOnceAtMost(t *testing.T) {
	s := threeMattes()
	takeIn(s, 0, 1, Add)
	s.KeepProof(&s.Mattes[0], "once")
	require.NoError(t, s.Validate())
	takeIn(s, 0, 1, TakeAway)
	assert.EqualError(t, s.Validate(), `study: matte "a": takes in matte "b" twice, want once`)
	s.Mattes[0].Joins, s.Mattes[0].Proofs[0].Joins = nil, s.Mattes[0].Joins
	assert.EqualError(t, s.Validate(), `study: matte "a": proof "once": takes in matte "b" twice, want once`)

	hostile := ladder(40, 1) // followed one by one, its joins would be 2^40
	for i := range hostile.Mattes {
		hostile.Mattes[i].Joins = append(hostile.Mattes[i].Joins, hostile.Mattes[i].Joins...)
	}
	assert.EqualError(t, hostile.Validate(), `study: matte "m2": takes in matte "m1" twice, want once`)
}

// Of a ladder whose rungs take in the two below, each is made of one more than those two
// together: 1, 2, 4, 7, 12, 20, 33, 54, 88, 143, 232, 376 (Fibonacci's numbers less one:
// OEIS A000071).
func TestJoinsThatMeetAgainAreBounded(t *testing.T) {
	require.NoError(t, ladder(11, 2).Validate())
	for _, rungs := range []int{12, 90, maxMattes} {
		assert.EqualError(t, ladder(rungs, 2).Validate(),
			`study: matte "m12": with all that it takes in, by every way, it is made of at least 376 mattes, want at most 256`)
	}
	s := ladder(11, 2)
	m := s.AddMatte("last", selection.LCh)
	m.Joins = []Join{{With: s.Mattes[10].ID}, {With: s.Mattes[9].ID}}
	s.KeepProof(m, "kept")
	m.Joins = nil
	assert.EqualError(t, s.Validate(),
		`study: matte "last": proof "kept": with all that it takes in, by every way, it is made of at least 376 mattes, want at most 256`)
	require.NoError(t, ladder(maxUnfolded, 1).Validate(), "in a row, each takes in all before it once")
	assert.ErrorContains(t, ladder(maxUnfolded+1, 1).Validate(), "at least 257 mattes, want at most 256")
}

// All that is taken in is collected once, however many ways lead there.
func TestJoinedMattesOfALadder(t *testing.T) {
	s := ladder(90, 2) // its ways are more than 10^18
	assert.Len(t, s.JoinedMattes(&s.Mattes[89].Settings), 89)
	assert.Nil(t, s.Circle())
}

// What is taken in stays in its place when it is taken in another way.
func TestMattesAreTakenInAndOut(t *testing.T) {
	s := threeMattes()
	a, b, c := &s.Mattes[0], s.Mattes[1].ID, s.Mattes[2].ID
	a.TakeIn(b, Add)
	a.TakeIn(c, TakeAway)
	a.TakeIn(b, Within)
	assert.Equal(t, []Join{{b, Within}, {c, TakeAway}}, a.Joins)
	assert.True(t, a.TakeOut(b))
	assert.False(t, a.TakeOut(b), "it is out already")
	assert.Equal(t, []Join{{c, TakeAway}}, a.Joins)
	assert.True(t, a.TakeOut(c))
	assert.Nil(t, a.Joins)
}

func TestMattesThatAreNotExported(t *testing.T) {
	s := threeMattes()
	all, left := s.ToExport()
	assert.Len(t, all, 3)
	assert.Empty(t, left)
	s.Mattes[1].NotExported = true
	all, left = s.ToExport()
	assert.Equal(t, []*Matte{&s.Mattes[0], &s.Mattes[2]}, all)
	assert.Equal(t, []*Matte{&s.Mattes[1]}, left)
}

// A matte that goes leaves those that took it in; another name changes nothing.
func TestAMatteThatIsTakenInGoes(t *testing.T) {
	s := threeMattes()
	takeIn(s, 0, 1, Add)
	takeIn(s, 0, 2, Add)
	s.KeepProof(&s.Mattes[0], "both")
	before := s.Digest(1, &s.Mattes[0])
	s.Mattes[1].Name = "back"
	assert.Equal(t, before, s.Digest(1, &s.Mattes[0]))
	require.NoError(t, s.RemoveMatte(s.Mattes[1].ID))
	require.NoError(t, s.Validate())
	assert.Equal(t, []Join{{With: s.Mattes[1].ID}}, s.Mattes[0].Joins)
	assert.Equal(t, s.Mattes[0].Joins, s.Mattes[0].Proofs[0].Joins)
	c := s.Clone()
	c.Mattes[0].Joins[0].How = Within
	assert.Equal(t, Add, s.Mattes[0].Joins[0].How, "a copy shares nothing")
}

// A digest has all that is taken in, by whatever way, but for its trial.
func TestDigestsOfJoinedMattes(t *testing.T) {
	s := threeMattes()
	a := &s.Mattes[0]
	alone := s.Digest(1, a)
	takeIn(s, 0, 1, Add)
	takeIn(s, 1, 2, Add)
	seen := map[string]bool{alone: true, s.Digest(1, a): true}
	require.Len(t, seen, 2)
	for _, change := range []func(){
		func() { s.Mattes[0].Joins[0].How = Touching },
		func() { s.Mattes[1].Edge.Soften.Fix(2) },
		func() { s.Mattes[2].Edge.Grow.Fix(1) },
		func() { s.Mattes[1].Joins = nil },
	} {
		change()
		n := len(seen)
		seen[s.Digest(1, a)] = true
		require.Len(t, seen, n+1)
	}
	now := s.Digest(1, a)
	s.Mattes[1].Trial.Slope[0].Fix(2)
	s.Mattes[1].NotExported, s.Mattes[1].Note = true, "for a"
	assert.Equal(t, now, s.Digest(1, a))
}

func TestDabsOfJoinedMattes(t *testing.T) {
	s := threeMattes()
	takeIn(s, 0, 1, Add)
	kinds := func() (all []Kind) {
		for _, d := range s.DabsOf(&s.Mattes[0]) {
			all = append(all, d.Kind)
		}
		return all
	}
	assert.Equal(t, []Kind{Keep, Drop, Keep}, kinds(), "what is no part of the other may be one of the whole")
	s.Mattes[0].Joins[0].How = TakeAway
	assert.Equal(t, []Kind{Keep, Drop, Drop}, kinds())
	s.Mattes[0].Joins[0].How = Within
	assert.Equal(t, []Kind{Keep, Drop, Drop}, kinds())
	assert.Equal(t, Drop, s.DabsOf(&s.Mattes[0])[2].Kind)
	assert.Len(t, s.Mattes[0].Dabs, 2, "they stay their mattes' own")
}

func TestHowsHaveNames(t *testing.T) {
	for i, name := range HowNames() {
		h, err := ParseHow(name)
		require.NoError(t, err)
		assert.Equal(t, How(i), h)
		assert.Equal(t, name, h.String())
	}
	_, err := ParseHow("beside")
	assert.ErrorContains(t, err, `how to join is "beside", want one of add, touching, takeAway, within`)
}
