// Writes {"library/task": nanoseconds, …} for what the Go benchmarks time too.
import { converter, differenceCiede2000 } from 'culori';
import Color from 'colorjs.io';

const p = [50, 2.6772, -79.7751];
const q = [52, 0.3, -82.7485];
const code = '#C9837F';
let kept = 0; // so that no work is left out

function time(task) {
  for (let i = 0; i < 2e4; i++) kept += task();
  const rounds = 5e4;
  const start = process.hrtime.bigint();
  for (let i = 0; i < rounds; i++) kept += task();
  return Number(process.hrtime.bigint() - start) / rounds;
}

const mode = ([l, a, b]) => ({ mode: 'lab65', l, a, b });
const difference = differenceCiede2000();
const [cp, cq] = [mode(p), mode(q)];
const lab = converter('lab65');
const [jp, jq] = [new Color('lab', p), new Color('lab', q)];

const result = {
  'culori/difference': time(() => difference(cp, cq)),
  'culori/code-to-lab': time(() => lab(code).l),
  'colorjs.io/difference': time(() => jp.deltaE(jq, '2000')),
  'colorjs.io/code-to-lab': time(() => new Color(code).to('lab-d65').coords[0]),
};
if (Number.isNaN(kept)) throw new Error('not a number');
console.log(JSON.stringify(result));
