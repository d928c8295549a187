// Database shows how a program keeps what the library reads in an SQL database, here SQLite
// without C: catalogue, loads, packs, events, saved traces and reports. It fills one in memory
// with a day of an invented clinic, builds the records from its rows, and prints what may be
// released.
//
//	go run . ../checkload/clinic/catalogue.json
package main

import (
	"bytes"
	"cmp"
	"database/sql"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"time"

	_ "modernc.org/sqlite"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

var (
	//go:embed clinic.sql
	tables string
	//go:embed day.sql
	demonstration string
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: database CATALOGUE.json")
	}
	doc, unread := os.ReadFile(os.Args[1])
	c, unopened := open(":memory:", string(doc), demonstration)
	if err := errors.Join(unread, unopened); err != nil {
		log.Fatal(err)
	}
	if err := c.show(os.Stdout, "us-cdc-2003", time.Date(2026, 3, 9, 18, 0, 0, 0, time.FixedZone("", 60*60))); err != nil {
		log.Fatal(err)
	}
}

// clinic is what one clinic keeps.
type clinic struct{ *sql.DB }

// open makes a database with a catalogue and rows.
func open(name, catalogue, rows string) (clinic, error) {
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return clinic{}, err
	}
	db.SetMaxOpenConns(1) // each connection to memory would be a database of its own
	c := clinic{db}
	if _, err = c.Exec(tables + rows); err == nil {
		_, err = c.Exec(`INSERT INTO catalogue VALUES (?, ?)`, time.Now().Format(time.RFC3339), catalogue)
	}
	return c, err
}

// show checks the loads of the day with all that is known, keeps the reports and prints them
// with what is due.
func (c clinic) show(out io.Writer, name string, at time.Time) error {
	policy, unnamed := load.PolicyFor(name)
	records, unread := c.records()
	facts, unknown := c.facts()
	if err := errors.Join(unnamed, unread, unknown); err != nil {
		return err
	}
	h := history.New(policy)
	h.UseCatalogue(facts) // the database keeps what refers, not what is written out
	for _, r := range records {
		h.Add(r)
	}
	if err := c.events(h); err != nil {
		return err
	}
	for _, r := range records {
		if r.Load.Date != moistheat.DateOf(at) {
			continue
		}
		report := h.Check(r)
		doc, err := report.JSON()
		if err != nil {
			return err
		}
		if _, err := c.Exec(`INSERT INTO report VALUES (?, ?, ?)`, r.ID, at.Format(time.RFC3339), string(doc)); err != nil {
			return err
		}
		fmt.Fprintf(out, "load %s: %s\n", r.Load.Number, report.Verdict.Load)
		for _, p := range report.Packs {
			fmt.Fprintf(out, "  %s: %s\n", p.ID, p.Disposition)
		}
		for _, q := range report.Questions() {
			if q.Holds > 0 {
				fmt.Fprintf(out, "  to do: %s\n", q.Text)
			}
		}
	}
	for _, d := range h.Due(at) {
		fmt.Fprintln(out, d)
	}
	var traces bytes.Buffer
	if err := h.Save(&traces); err != nil {
		return err
	}
	_, err := c.Exec(`INSERT INTO saved VALUES (?, ?)`, at.Format(time.RFC3339), traces.Bytes())
	return err
}

// facts returns those of the newest catalogue; its entries have their own days.
func (c clinic) facts() (*load.Facts, error) {
	var doc []byte
	if err := c.QueryRow(`SELECT doc FROM catalogue ORDER BY kept DESC, rowid DESC`).Scan(&doc); err != nil {
		return nil, err
	}
	catalogue, err := load.DecodeCatalogue(doc)
	if err != nil {
		return nil, err
	}
	return catalogue.Facts()
}

// each calls read for every row that a query finds.
func (c clinic) each(query string, read func(scan func(...any) error) error, args ...any) error {
	rows, err := c.Query(query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := read(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (c clinic) events(h *history.History) error {
	return c.each(`SELECT doc FROM event`, func(scan func(...any) error) error {
		var doc []byte
		if err := scan(&doc); err != nil {
			return err
		}
		e, err := history.DecodeEvent(doc)
		return cmp.Or(err, h.AddEvent(e))
	})
}

// records builds a record from each row of loads and its packs. A value that the library
// cannot read ends it: nothing is taken for what it might have meant.
func (c clinic) records() (out []*load.Record, err error) {
	err = c.each("SELECT * FROM load ORDER BY started", func(scan func(...any) error) error {
		r := &load.Record{Format: load.Format, Cycle: &load.Cycle{}, AllPacks: &load.AllPacks{}}
		cy, all, printed := r.Cycle, r.AllPacks, &r.Cycle.Printed
		var started, ended, spores, air, leak, opened, decided sql.NullTime
		var supply, by, sealer sql.NullString
		var airPassed, leakPassed, sealIntact, release moistheat.Answer
		if err := scan(&r.ID, &r.Load.Number, &r.Load.Date, &r.Load.PreparedBy, &r.Sterilizer.ID, &cy.Program,
			&started, &ended, &cy.Aborted, &printed.HoldTime, &printed.MinimumTemperature, &printed.MaximumTemperature,
			&printed.AbsolutePressure, &printed.DryingTime, &spores, &air, &airPassed, &leak, &leakPassed,
			&supply, &opened, &all.By, &all.Condition.Dry, &all.Condition.Intact,
			&all.External.Lot, &all.External.Result, &all.Internal.Lot, &all.Internal.Result, &sealIntact, &sealer,
			&decided, &by, &release); err != nil {
			return err
		}
		number, unit := r.Load.Number, r.Sterilizer.ID
		cy.Number, cy.Sterilizer, cy.Started, cy.Ended = number, unit, started.Time, ended.Time
		r.Monitors = load.Monitors{LastValidBiological: spores.Time, Tests: []load.Test{
			{Kind: load.AirRemovalTest, Time: air.Time, Passed: airPassed},
			{Kind: load.LeakTest, Time: leak.Time, Passed: leakPassed}}}
		r.Water.Reservoir = &water.Reservoir{Supply: supply.String}
		r.Unloading = load.Unloading{Time: opened.Time, By: all.By}
		all.Seal = &packaging.Seal{Intact: sealIntact, Sealer: sealer.String}
		all.Label = &packaging.Label{Sterilizer: unit, Load: number, Cycle: number, Date: r.Load.Date}
		decision := map[moistheat.Answer]moistheat.Disposition{
			moistheat.Yes: moistheat.Release, moistheat.No: moistheat.Quarantine}
		if release != moistheat.NotRecorded {
			r.Release = &load.Release{Time: decided.Time, By: by.String, Decision: decision[release]}
		}
		out = append(out, r)
		return nil
	})
	for _, r := range out {
		err = errors.Join(err, c.packs(r))
	}
	return out, err
}

func (c clinic) packs(r *load.Record) error {
	const query = `SELECT id, type, contents, air_pressed_out FROM pack WHERE load = ?`
	return c.each(query, func(scan func(...any) error) error {
		var p load.Pack
		err := scan(&p.ID, &p.Type, &p.Set, &p.AirExpelled)
		r.Packs = append(r.Packs, p)
		return err
	}, r.ID)
}
