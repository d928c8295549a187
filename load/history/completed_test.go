package history

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

// What a line about a stored pack leaves out a later one completes; what a line says against it no
// other takes away, and one that says less takes nothing away.
func TestALaterLineCompletesAStoredPack(t *testing.T) {
	at := local("2026-03-10 12:00")
	opens := func(name string, lines ...func(*StoredPack)) Opening {
		h := history(t, name, good())
		for _, edit := range lines {
			s := putAway("r1", "P1")
			edit(s)
			h.AddStored(s)
		}
		return h.MayOpen("P1", at)
	}
	full := func(*StoredPack) {}
	less := func(s *StoredPack) { s.Dropped, s.LaidOut, s.Wrapped, s.Sterilized = 0, 0, 0, moistheat.Date{} }
	dropped := func(s *StoredPack) { s.Dropped = yes }
	droppedAlone := func(s *StoredPack) { less(s); s.Dropped = yes }
	for _, name := range []string{"us-cdc-2003", "germany"} {
		require.Equal(t, MayOpen, opens(name, full).Answer, name)
		require.Equal(t, AskFirst, opens(name, less).Answer, name)
		assert.Equal(t, MayOpen, opens(name, less, full).Answer, name)
		assert.Equal(t, MayOpen, opens(name, full, less).Answer, name)
		bad := opens(name, dropped).Answer
		require.NotEqual(t, MayOpen, bad, name)
		for _, lines := range [][]func(*StoredPack){{dropped, full}, {full, dropped}, {less, dropped}, {full, droppedAlone},
			{less, droppedAlone, full}} {
			assert.Equal(t, bad, opens(name, lines...).Answer, name)
		}
	}
	said := false
	for _, f := range opens("us-cdc-2003", less).Findings {
		if f.Rule == "load.storage.event" {
			said = true
			assert.Equal(t, []string{"/dropped"}, f.Answers)
		}
	}
	assert.True(t, said)
}

// What is missing for a shelf life is named by its member.
func TestAShelfLifeNamesWhatIsMissing(t *testing.T) {
	for member, edit := range map[string]func(*StoredPack){
		"/sterilized": func(s *StoredPack) { s.Sterilized = moistheat.Date{} },
		"/wrapped":    func(s *StoredPack) { s.Wrapped = 0 },
	} {
		found := false
		for _, name := range []string{"us-cdc-2003", "germany", "australia"} {
			p := putAway("r1", "P1")
			edit(p)
			for _, f := range CheckStored(p, policy(t, name), day(2029, 3, 9)) {
				for _, a := range f.Answers {
					found = found || a == member
				}
			}
		}
		assert.True(t, found, member)
	}
}
