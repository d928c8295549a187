// Asks a public UCUM library for the size of every unit in units/testdata/ucum.tsv.
// Run by ucum.sh, with the library's version as argument.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const [file, home, version] = process.argv.slice(2)
const { UcumLhcUtils } = createRequire(home + '/')('@lhncbc/ucum-lhc')
const ucum = UcumLhcUtils.getInstance()

console.log(`# @lhncbc/ucum-lhc ${version}: validateUnitString(unit), convertUnitTo(unit, 1, to)`)
console.log('# dimension\tunit\tto\t1 unit in to; "refused" where the library converts no arbitrary unit, "unknown" where its data has no such unit')
for (const line of readFileSync(file, 'utf8').split('\n')) {
  if (line === '' || line.startsWith('#')) continue
  const [dimension, unit, to] = line.split('\t')
  let result = 'unknown'
  if (ucum.validateUnitString(unit).status === 'valid') {
    const r = ucum.convertUnitTo(unit, 1, to)
    result = r.status === 'succeeded' ? String(r.toVal) : 'refused'
  }
  console.log([dimension, unit, to, result].join('\t'))
}
