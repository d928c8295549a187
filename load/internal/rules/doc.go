// Package rules has the rules that no record alone can break: those about a sterilizer
// through time and about packs in store. Package load/history asks them; package load
// knows them, as its policies may change what they do.
package rules
