package schema

import (
	"embed"
	"io/fs"

	"example.com/moistheat"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/strictjson"
)

// Rules returns the rules of this package, sorted by ID. The caller owns the slice.
func Rules() []moistheat.Rule { return book.Rules() }

// Kind is a kind of document that has a schema. The zero Kind is invalid.
type Kind = moistheat.Word[kinds]

const (
	// Record is the record of one load, "moistheat.load/1".
	Record Kind = iota + 1
	// Report is what checking a load found, "moistheat.report/1".
	Report
	// Policy says whose documents apply, "moistheat.policy/1".
	Policy
	// CycleTable is a table of minimum cycle times, "moistheat.cycle-table/1".
	CycleTable
	// PackagingFigures are the limits for packs, "moistheat.packaging-figures/1".
	PackagingFigures
	// WaterLimits are the limits for water, "moistheat.water/1".
	WaterLimits
	// Event is something that happened to a sterilizer, "moistheat.event/1".
	Event
	// Stored is a pack after its load, "moistheat.stored/1".
	Stored
	// Cleaning is one run of cleaning, "moistheat.cleaning/1".
	Cleaning
	// Known is what was known of a sterilizer at an instant, "moistheat.known/1".
	Known
	// Amendment takes back what lines say, "moistheat.amendment/1".
	Amendment
	// Line is one line of a history stream: a record, an event, a stored pack or an
	// amendment, as its member "format" says.
	Line
	// RuleList is a list of rules with their texts, "moistheat.rules/1".
	RuleList
	// Findings are what was found of another question than release, "moistheat.findings/1".
	Findings
	// Agenda is the order of a day, "moistheat.agenda/1".
	Agenda
	// What the library answers beside a report, without a member "format": a finding, a
	// duty that is due, a suspect load, the status of a sterilizer, a procedure back to
	// service, a choice of cycle, a drift, a task of the day, whether a pack may be opened, a pack
	// that is not to be used and how often an item was.
	Finding
	Due
	Suspect
	Status
	Procedure
	Choice
	Drift
	Task
	Opening
	Chain
	ItemUse
	// Catalogue is what a facility says once, "moistheat.catalogue/1".
	Catalogue
	// Log is a line of a log of documents, "moistheat.log/1".
	Log
	// Proof is what a log says of a load, an item or a patient, "moistheat.proof/1".
	Proof
	// Language is what the library says in another language, "moistheat.language/1".
	Language
	// Vectors are conditions with the outcome that each must give,
	// "moistheat.vectors/1".
	Vectors
)

type kinds struct{}

func (kinds) Words() string {
	return "record|report|policy|cycle-table|packaging-figures|water-limits|event|stored|cleaning|known|amendment|" +
		"line|rules|findings|agenda|finding|due|suspect|status|procedure|choice|drift|task|opening|chain|item-use|catalogue|" +
		"log|proof|language|vectors"
}

// limits returns what bounds the documents of a kind, as its own reader does.
func limits(k Kind) strictjson.Limits {
	lim := strictjson.Default()
	switch k {
	case Language:
		lim = guard.Language()
	case Report: // written by the library, with a message beside every finding
		lim.Size, lim.Text = 64<<20, 64<<10
	case Log: // which holds a document as one string
		lim.Text = lim.Size / 2
	case Proof:
		lim.Size, lim.Text = 64<<20, 4<<20
	case Vectors, RuleList, Findings, Agenda:
		lim.Size = 64 << 20
	case CycleTable, PackagingFigures:
		lim.Size = 1 << 20
	}
	return lim
}

//go:embed *.schema.json
var files embed.FS

// Kinds returns the kinds of document that have a schema.
func Kinds() []Kind {
	all := make([]Kind, 0, Vectors)
	for k := Record; k <= Vectors; k++ {
		all = append(all, k)
	}
	return all
}

// Source returns the schema of a kind as it is published, or nil for an invalid
// Kind. The caller owns the result.
func Source(kind Kind) []byte {
	data, _ := files.ReadFile(kind.String() + ".schema.json") // embedded; a test reads every one
	return data
}

// FS returns the schemas as a file system: one file a kind, such as
// "record.schema.json".
func FS() fs.FS { return files }
