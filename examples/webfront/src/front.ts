// What a front end shows of a report, from its JSON alone: the verdict, what to do about
// each requirement that is not met, with its warnings first, and the questions whose
// missing answers block a release. No text of a rule is known here.
import type { Finding, NamedRule, Report } from "../types/report.js";

/** Returns the lines of the page. */
export function page(report: Report): string[] {
  const { verdict } = report;
  const lines = [`Load ${report.load ?? report.record} (${report.policy.name}): ${verdict.load}; sterilizer ${verdict.sterilizer}`];
  if (verdict.recall) {
    lines.push("  Recall packs already issued.");
  }
  for (const disposition of ["release", "quarantine", "reject"] as const) {
    const packs = report.packs.filter((pack) => pack.disposition === disposition);
    if (packs.length > 0) {
      lines.push(`  ${disposition}: ${packs.map((pack) => pack.id).join(", ")}`);
    }
  }
  for (const findings of groups(report.findings.filter(isNotMet), (f) => f.rule + "\n" + said(report, f)).values()) {
    lines.push(...action(report, findings));
  }
  for (const question of report.questions.filter((q) => q.holds > 0)) {
    lines.push(...warnings(report, question.hazards ?? [], ""), `Question: ${question.text}`);
    lines.push(`  blocks ${question.holds}, alone ${question.frees}; ` +
      (question.atTheTime ? "had to be seen at the time" : "can still be found out"));
    for (const pointer of question.answers ?? []) {
      lines.push(`  answered by ${pointer}`);
    }
  }
  if (report.omitted > 0) {
    lines.push(`${report.omitted} findings more are not listed; the verdict includes them.`);
  }
  return lines;
}

/** Returns what to do about findings of one rule that say the same. */
function action(report: Report, findings: Finding[]): string[] {
  const [first] = findings;
  if (!first) {
    return [];
  }
  const rule = ruleOf(report, first);
  const packs = findings.flatMap((f) => f.pack ?? []).join(", ");
  const lines = [`${first.blocks ? "Blocks release" : "Not met"}${packs && ": " + packs}: ${said(report, first)}`];
  lines.push(`  Why: ${rule.why}`);
  return [...lines, ...warnings(report, rule.hazards, "  "), `  Do: ${rule.remedy}`];
}

/** Returns what protects from hazards, to stand before what is done. */
function warnings(report: Report, hazards: readonly string[], indent: string): string[] {
  return hazards.map((hazard) => {
    const warning = report.warnings.find((w) => w.hazard === hazard);
    if (!warning) {
      throw new Error(`the report has a hazard without a warning: ${hazard}`);
    }
    return `${indent}WARNING: ${hazard}. ${warning.sentence}`;
  });
}

/** Says whether a requirement is not met, or the library failed at it, and it is not waived. */
function isNotMet(finding: Finding): boolean {
  return (finding.outcome === "broken" || finding.outcome === "internal") && !finding.waiver;
}

/** Returns a finding in words: its own, or those of its rule. */
function said(report: Report, finding: Finding): string {
  const rule = ruleOf(report, finding);
  return finding.message ?? rule.brokenText ?? rule.title;
}

function ruleOf(report: Report, finding: Finding): NamedRule {
  const rule = report.rules.find((r) => r.id === finding.rule);
  if (!rule) {
    throw new Error(`the report names no rule ${finding.rule}`);
  }
  return rule;
}

function groups<K, V>(values: V[], key: (value: V) => K): Map<K, V[]> {
  const out = new Map<K, V[]>();
  for (const value of values) {
    const group = out.get(key(value)) ?? [];
    out.set(key(value), [...group, value]);
  }
  return out;
}
