package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// What is left of the log is released with the catalogue, and without it is not.
func TestLeast(t *testing.T) {
	data, err := os.ReadFile("../../../" + folder + "catalogue.json")
	require.NoError(t, err)
	c, err := load.DecodeCatalogue(data)
	require.NoError(t, err)
	facts, err := c.Facts()
	require.NoError(t, err)
	log, err := os.ReadFile("../../../" + folder + "log.json")
	require.NoError(t, err)
	policy, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	h := history.New(policy)
	h.UseCatalogue(facts)
	doc, err := least(log, h, 2)
	require.NoError(t, err)
	data, err = json.Marshal(doc)
	require.NoError(t, err)
	record, err := load.Decode(data)
	require.NoError(t, err)
	assert.Len(t, record.Packs, 2)
	assert.True(t, load.Check(facts.Resolve(record, policy), policy).Verdict.MayRelease)
	assert.False(t, load.Check(record, policy).Verdict.MayRelease)
	// Of this cycle's physical record, indicators and release nothing is in the catalogue.
	for _, member := range []string{`"minimumTemperature"`, `"holdTime"`, `"external":{"`, `"internal":{"`, `"dry":true`,
		`"intact":true`, `"decision":"release"`} {
		assert.Contains(t, string(data), member)
	}
}

func TestValues(t *testing.T) {
	var doc any
	const whole = `{"a":1,"b":{"c":2,"d":[3,{"e":4,"f":{"value":5,"unit":"s"}},6]},"g":[7]}`
	require.NoError(t, json.Unmarshal([]byte(whole), &doc))
	assert.Equal(t, 7, values(doc))
}
