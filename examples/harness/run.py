#!/usr/bin/env python3
"""Runs the conformance corpus from another language, through a command.

    python3 examples/harness/run.py [--checkload COMMAND] [--corpus DIRECTORY] [-v]

It needs Python 3.8 and nothing else. COMMAND is a built examples/checkload; without
it, the harness builds one with Go. The corpus says in its own README what a vector
is: a base, a patch, and what must be found. This program applies the patches, gives
the documents to the command, one a line and one process for all vectors that share a
policy, and compares what comes back by rule, pointer and outcome. Wording is not
compared: it is not promised. The exit code is 1 if a vector differs.
"""

import argparse
import collections
import copy
import json
import os
import pathlib
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
OPEN = ("undetermined", "broken", "internal")


# --- JSON Patch (RFC 6902): add, replace, remove ---

def segments(pointer):
    if pointer == "":
        return []
    if not pointer.startswith("/"):
        raise ValueError("pointer %r does not begin with a slash" % pointer)
    return [s.replace("~1", "/").replace("~0", "~") for s in pointer[1:].split("/")]


def index(text, length):
    if text != str(int(text)) or not 0 <= int(text) <= length:
        raise ValueError("%r is not an index" % text)
    return int(text)


def apply(doc, operations):
    doc = copy.deepcopy(doc)
    for op in operations:
        path = segments(op["path"])
        if not path:
            doc = copy.deepcopy(op["value"])
            continue
        at = doc
        for s in path[:-1]:
            at = at[index(s, len(at) - 1)] if isinstance(at, list) else at[s]
        last = path[-1]
        if isinstance(at, list):
            adds = op["op"] == "add"
            i = len(at) if last == "-" and adds else index(last, len(at) if adds else len(at) - 1)
            if adds:
                at.insert(i, copy.deepcopy(op["value"]))
            elif op["op"] == "replace":
                at[i] = copy.deepcopy(op["value"])
            else:
                del at[i]
        elif op["op"] == "add":
            at[last] = copy.deepcopy(op["value"])
        elif op["op"] == "replace":
            at[last]  # it must be there
            at[last] = copy.deepcopy(op["value"])
        else:
            del at[last]
    return doc


# --- numbers keep their digits ---

class Number(float):
    """A number that is written as it was read: 6.0 is not 6."""
    def __new__(cls, text):
        self = super().__new__(cls, text)
        self.text = text
        return self

    def __repr__(self):
        return self.text

    def __deepcopy__(self, memo):
        return self


def read(path):
    with open(path, encoding="utf-8") as f:
        return json.load(f, parse_float=Number)


def write(value):
    """Writes JSON on one line."""
    if isinstance(value, Number):
        return value.text
    if isinstance(value, dict):
        return "{" + ",".join(json.dumps(k) + ":" + write(v) for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(write, value)) + "]"
    return json.dumps(value)


# --- the command ---

class Command:
    def __init__(self, path, corpus, scratch):
        self.path, self.corpus, self.scratch = path, corpus, scratch
        self.own, self.known = {}, {}

    def policy(self, policy):
        """Returns the flags for a policy: a name, a file of the corpus, or an object."""
        if isinstance(policy, str):
            file = self.corpus / "policies" / (policy + ".json")
            return ["-policy-file", str(file)] if file.exists() else ["-policy", policy]
        text = write(policy)
        if text not in self.own:
            file = os.path.join(self.scratch, "policy-%d.json" % len(self.own))
            with open(file, "w", encoding="utf-8") as f:
                f.write(text)
            self.own[text] = file
        return ["-policy-file", self.own[text]]

    def knowing(self, known):
        """Returns the flags for what is known of a sterilizer."""
        text = write(known)
        if text not in self.known:
            file = os.path.join(self.scratch, "known-%d.json" % len(self.known))
            with open(file, "w", encoding="utf-8") as f:
                f.write(text)
            self.known[text] = file
        return ["-known", self.known[text]]

    def ask(self, flags, lines):
        """Returns the reports for some documents, in their order."""
        done = subprocess.run([self.path, "-json", "-all", *flags, "-"], input="\n".join(lines) + "\n",
                              capture_output=True, text=True, encoding="utf-8")
        if done.returncode not in (0, 1):
            raise RuntimeError("exit code %d: %s" % (done.returncode, done.stderr.strip()))
        return [json.loads(line) for line in done.stdout.splitlines()]


# --- comparing ---

def compare(vector, report):
    expect, rule = vector["expect"], vector["rule"]
    outcome = expect["outcome"]
    problems = []
    found, opened = set(), set()
    for f in report["findings"]:
        key = (f["rule"], f["pointer"], f["outcome"])
        found.add(key)
        if f["outcome"] in OPEN and "waiver" not in f:
            opened.add(key)
    listed = [k for k in found if k[0] == rule]
    rule_open = any(k[0] == rule for k in opened)
    wanted = set()
    if outcome in ("not applicable", "not in force"):
        name = "notApplicable" if outcome == "not applicable" else "notInForce"
        if "counts" in report:
            counted = any(t["rule"] == rule and t.get(name, 0) > 0 for t in report["counts"])
        else:
            silent = outcome == "not applicable" and not listed  # there was nothing to ask about
            counted = silent or any(k[2] == outcome for k in listed)
        if not counted or rule_open:
            problems.append("want %s %s, got %s" % (rule, outcome, sorted(listed)))
    else:
        key = (rule, expect.get("pointer", ""), outcome)
        met_plan = vector["judges"] == "plan" and outcome == "met" and "pointer" not in expect and not listed
        if key not in found and not met_plan:
            problems.append("want %s, got %s" % (key, sorted(listed)))
        if outcome in OPEN:
            wanted.add(key)
    for also in expect.get("also", []):
        key = (also["rule"], also.get("pointer", ""), also["outcome"])
        if key not in found:
            problems.append("want also %s" % (key,))
        if key[2] in OPEN:
            wanted.add(key)
    if expect.get("only"):
        problems += ["open but not expected: %s" % (k,) for k in sorted(opened - wanted)]
        problems += ["expected to be open: %s" % (k,) for k in sorted(wanted - opened)]
    if "load" in expect and report["verdict"]["load"] != expect["load"]:
        problems.append("want the load to be %s, got %s" % (expect["load"], report["verdict"]["load"]))
    if "packs" in expect:
        got = [p["disposition"] for p in report["packs"]]
        if got != expect["packs"]:
            problems.append("want the packs to be %s, got %s" % (expect["packs"], got))
    warned = {w["hazard"] for w in report.get("warnings", [])}
    for hazard in expect.get("hazards", []):
        of_rule = any(r["id"] == rule and hazard in r["hazards"] for r in report["rules"])
        if hazard not in warned or not of_rule:
            problems.append("want %s to warn of %s" % (rule, hazard))
    return problems


def main():
    args = argparse.ArgumentParser(description="Runs the conformance corpus through checkload.")
    args.add_argument("--checkload", help="a built examples/checkload; default: build it with Go")
    args.add_argument("--corpus", type=pathlib.Path, default=ROOT / "load" / "loadtest" / "corpus")
    args.add_argument("-v", action="store_true", help="name every vector")
    args = args.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        path = args.checkload
        if not path:
            path = os.path.join(scratch, "checkload")
            subprocess.run(["go", "build", "-o", path, "./examples/checkload"], cwd=ROOT, check=True)
        command = Command(path, args.corpus, scratch)
        bases = {file.stem: read(file) for file in (args.corpus / "bases").glob("*.json")}
        groups = collections.OrderedDict()  # vectors that one process can judge
        for file in sorted((args.corpus / "vectors").glob("*.json")):
            for vector in read(file)["vectors"]:
                flags = command.policy(vector["policy"])
                if "known" in vector:
                    flags = flags + command.knowing(vector["known"])
                if "catalogue" in vector:
                    flags = flags + ["-catalogue", str(args.corpus / "catalogues" / (vector["catalogue"] + ".json"))]
                kind = vector["judges"]
                if kind == "history":
                    # A process judges one history.
                    flags = flags + ["-history", vector["at"]]
                    groups[("history", vector["id"])] = (flags, [vector])
                    continue
                if kind == "stored":
                    flags = flags + ["-stored", vector["on"]]
                elif kind == "plan":
                    flags = flags + ["-plan"]
                groups.setdefault(tuple(flags), (flags, []))[1].append(vector)
        counts = collections.Counter()
        failed = 0
        for flags, vectors in groups.values():
            lines = []
            for v in vectors:
                doc = apply(bases[v["base"]], v["patch"])
                lines += [write(line) for line in doc] if v["judges"] == "history" else [write(doc)]
            reports = command.ask(flags, lines)
            if len(reports) != len(vectors):
                raise RuntimeError("%d reports for %d vectors with %s" % (len(reports), len(vectors), flags))
            for v, report in zip(vectors, reports):
                counts[v["judges"]] += 1
                problems = compare(v, report)
                if problems:
                    failed += 1
                    print("FAILED %s\n  %s" % (v["id"], "\n  ".join(problems)))
                elif args.v:
                    print("ok     %s" % v["id"])
        print("%d vectors (%s) in %d processes: %s" % (
            sum(counts.values()), ", ".join("%d %s" % (n, k) for k, n in sorted(counts.items())), len(groups),
            "all as expected" if not failed else "%d differ" % failed))
        return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
