package loadtest_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// Of a log as a clinic has it some is open that keeps nothing back.
func TestExpectBlocking(t *testing.T) {
	const clinic = "../../examples/checkload/clinic/"
	data, err := os.ReadFile(clinic + "catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	f, err := c.Facts()
	require.NoError(t, err)
	data, err = os.ReadFile(clinic + "log.json")
	require.NoError(t, err)
	log, err := load.Decode(data)
	require.NoError(t, err)
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	report := load.Check(f.Resolve(log, p), p)
	loadtest.ExpectBlocking(t, report)
	assert.NotEmpty(t, failing(func(t testing.TB) { loadtest.Expect(t, report) }).said, "some is open")
	log.Packs[1].Condition.Dry = moistheat.No
	report = load.Check(f.Resolve(log, p), p)
	assert.Contains(t, failing(func(t testing.TB) { loadtest.ExpectBlocking(t, report) }).said, "load.pack.wet")
	assert.NotEmpty(t, failing(func(t testing.TB) { loadtest.ExpectBlocking(t, nil) }).said)
}

// The record that refers is released with its catalogue, and says too little without it.
func TestByCatalogue(t *testing.T) {
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	whole := loadtest.Pouches()
	c, r := loadtest.ByCatalogue(whole)
	f, err := c.Facts()
	require.NoError(t, err)
	loadtest.Expect(t, load.Check(f.Resolve(r, p), p))
	assert.False(t, load.Check(r, p).Released())
	assert.Equal(t, loadtest.Pouches(), whole, "the record is the caller's")
	c, r = loadtest.ByCatalogue(nil)
	assert.Nil(t, r)
	require.NoError(t, c.Validate())
}

// What a vector's record says of its items and its sterilizer may stand in a catalogue
// instead: the outcomes of the vector, worked out from documents, are the same.
func TestVectorsByCatalogue(t *testing.T) {
	all, err := loadtest.Conformance()
	require.NoError(t, err)
	tried := 0
	for i, v := range all.Vectors() {
		if v.Subject != loadtest.SubjectRecord || !full() && i%10 != 0 {
			continue
		}
		doc, err := v.Document()
		require.NoError(t, err)
		r, err := load.Decode(doc)
		require.NoError(t, err)
		if r.AllPacks != nil { // which a record that is written out no longer has
			continue
		}
		c, short := loadtest.ByCatalogue(r)
		if len(c.Items) == 0 && len(c.Sterilizers) == 0 {
			continue
		}
		f, err := c.Facts()
		require.NoError(t, err, v.ID)
		written, err := json.Marshal(f.Resolve(short, nil))
		require.NoError(t, err, v.ID)
		j, err := v.Judge(written, nil)
		require.NoError(t, err, v.ID)
		assert.NoError(t, v.Compare(j))
		tried++
	}
	assert.Greater(t, tried, 100)
}
