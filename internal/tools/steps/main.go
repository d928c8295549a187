// Steps counts what hostile input makes the library do, without a clock: how often each
// block of it is run, and of the packages of Go that it sorts, searches and computes with.
//
//	go run ./internal/tools/steps [-run REGEXP] [-blocks]
//
// It builds the tests of some packages with counters of coverage and runs each case of their
// TestSteps in a process of its own, at a quarter, a half and the whole of its size. From one
// step to the next what is done once for all cancels out, and what grows as a power of the
// size gives its exponent. A case, or a block with a twentieth of its steps, that grows
// by more than n·log n does is printed and ends the command with 1. It tells
// loops from each other that allocate nothing, which counts of bytes cannot.
package main

import (
	"bufio"
	"cmp"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/moistheat/internal/tools/quit"
)

// counted are the packages of which blocks are counted. What moves memory is no block.
const counted = "example.com/moistheat/...,github.com/shopspring/decimal,slices,maps,sort,strings,bytes,strconv," +
	"math/big,encoding/json"

const (
	most      = 1.25 // exponent of all steps of a case: n·log n has 1.1 to 1.2 at these sizes
	mostBlock = 1.5  // ... of one block, of which the count may jump
	share     = 0.05 // of the steps of a case, below which a block does not count
)

// pairs are the cases in which each thing is held against each, by nature, and what keeps
// that small. They may grow as the square.
var pairs = map[string]string{
	"packs on one spot":                    "a record has at most 1,000 packs",
	"flat channels":                        "a trace has at most 64 channels of a kind",
	"flat channels, short":                 "a trace has at most 64 channels of a kind",
	"versions of one record, each amended": "of one thing 1,000 takings are weighed",
}

const mostPairs = 2.15

// block is a piece of source text that is run as a whole.
type block string

// steps are how many statements were run, by block.
type steps map[block]float64

func (s steps) total() (n float64) {
	for _, x := range s {
		n += x
	}
	return n
}

// result is what a case came to.
type result struct {
	name     string
	steps    float64 // of the whole size
	byByte   float64 // more steps for each more byte; 0: the case is no document
	exponent float64
	worst    block // that grows the most
	steepest float64
}

func main() {
	only := flag.String("run", "", "only cases whose names match")
	blocks := flag.Bool("blocks", false, "print the block that grows the most of each case")
	flag.Parse()
	pattern := quit.Or(regexp.Compile(*only))
	dir := quit.Or(os.MkdirTemp("", "steps"))
	defer os.RemoveAll(dir)
	bad := 0
	for _, pkg := range []string{"load/loadtest", "load/history"} {
		t := build(dir, pkg)
		names := slices.DeleteFunc(t.cases(), func(name string) bool { return !pattern.MatchString(name) })
		results := make([]result, len(names))
		var wg sync.WaitGroup
		next := make(chan int)
		for range 2 {
			wg.Go(func() {
				for i := range next {
					results[i] = t.measure(names[i])
				}
			})
		}
		for i := range names {
			next <- i
		}
		close(next)
		wg.Wait()
		for _, r := range results {
			fmt.Printf("%-14s %-72s %12.0f steps %8.1f a byte, exponent %.2f",
				pkg, r.name, r.steps, r.byByte, r.exponent)
			over := r.exponent > most || r.steepest > mostBlock
			if why := pairs[r.name]; why != "" {
				fmt.Printf(", in pairs: %s", why)
				over = r.exponent > mostPairs || r.steepest > mostPairs
			}
			if over || *blocks {
				fmt.Printf(", %.2f of %s", r.steepest, r.worst)
			}
			if fmt.Println(); over {
				bad++
			}
		}
	}
	if bad > 0 {
		fmt.Fprintf(os.Stderr, "%d grow by more than n·log n\n", bad)
		os.RemoveAll(dir)
		os.Exit(1)
	}
}

// program is a test binary with counters.
type program struct{ binary, dir string }

func build(dir, pkg string) program {
	p := program{filepath.Join(dir, filepath.Base(pkg)+".test"), pkg}
	c := exec.Command("go", "test", "-c", "-covermode=count", "-coverpkg="+counted, "-o", p.binary, "./"+pkg)
	c.Stderr = os.Stderr
	quit.On(c.Run())
	return p
}

// run runs cases at a part of their size, 0 of which is none, and returns what was printed.
func (p program) run(part int, args ...string) []byte {
	c := exec.Command(p.binary, append(args, "-test.v")...)
	c.Dir, c.Env = p.dir, append(os.Environ(), "MOISTHEAT_STEPS="+strconv.Itoa(part), "GOGC=400")
	out, err := c.CombinedOutput()
	if err != nil {
		fmt.Fprintf(os.Stderr, "%s", out)
	}
	quit.On(err)
	return out
}

// cases returns the names of the cases.
func (p program) cases() (names []string) {
	begun := regexp.MustCompile(`=== RUN   TestSteps/(.*)`)
	for _, m := range begun.FindAllSubmatch(p.run(0, "-test.run=^TestSteps$"), -1) {
		names = append(names, string(m[1]))
	}
	return names
}

// measure counts the steps of a case at three sizes, each twice the one before.
func (p program) measure(name string) result {
	var all [3]steps
	var bytes [3]float64
	for i, part := range []int{4, 2, 1} {
		profile := fmt.Sprintf("%s-%x", p.binary, name)
		out := p.run(part, "-test.run=^TestSteps$/^"+regexp.QuoteMeta(name)+"$", "-test.coverprofile="+profile)
		if m := regexp.MustCompile(`(\d+) bytes`).FindSubmatch(out); m != nil {
			bytes[i] = quit.Or(strconv.ParseFloat(string(m[1]), 64))
		}
		all[i] = read(profile)
	}
	a, b, c := all[0].total(), all[1].total(), all[2].total()
	r := result{name: strings.ReplaceAll(name, "_", " "), steps: c, exponent: exponent(a, b, c)}
	if bytes[2] > bytes[1] {
		r.byByte = (c - b) / (bytes[2] - bytes[1])
	}
	for _, k := range slices.Sorted(maps.Keys(all[2])) {
		if all[2][k]-all[1][k] < share*(c-b) {
			continue
		}
		if e := exponent(all[0][k], all[1][k], all[2][k]); e > r.steepest {
			r.worst, r.steepest = k, e
		}
	}
	return r
}

// exponent returns that with which something grows that is a, b and c at sizes each twice
// the one before, whatever of it is constant. What stops growing has none.
func exponent(a, b, c float64) float64 {
	return math.Log2(max(c-b, 1) / max(b-a, 1))
}

// read reads a profile: a block, its statements and how often it was run, a line.
func read(profile string) steps {
	f := quit.Or(os.Open(profile))
	defer f.Close()
	out := steps{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		at, rest, _ := strings.Cut(lines.Text(), " ")
		statements, times, found := strings.Cut(rest, " ")
		if !found {
			continue
		}
		n := quit.Or(strconv.ParseFloat(times, 64)) * cmp.Or(quit.Or(strconv.ParseFloat(statements, 64)), 1)
		out[block(at)] += n
	}
	return out
}
