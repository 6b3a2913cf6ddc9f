// Reads {"codes": ["#C9837F", …], "pairs": [[[L, a, b], [L, a, b]], …]} and writes
// what each library makes of them.
import { converter, differenceCiede2000 } from 'culori';
import Color from 'colorjs.io';

let text = '';
for await (const chunk of process.stdin) text += chunk;
const { codes, pairs } = JSON.parse(text);

const linear = converter('lrgb');
const xyz = converter('xyz65');
const lab = converter('lab65');
const difference = differenceCiede2000();
const mode = ([l, a, b]) => ({ mode: 'lab65', l, a, b });

const culori = {
  linear: codes.map((c) => { const v = linear(c); return [v.r, v.g, v.b]; }),
  xyz: codes.map((c) => { const v = xyz(c); return [v.x, v.y, v.z]; }),
  lab: codes.map((c) => { const v = lab(c); return [v.l, v.a, v.b]; }),
  difference: pairs.map(([p, q]) => difference(mode(p), mode(q))),
};

const colorjs = {
  linear: codes.map((c) => new Color(c).to('srgb-linear').coords),
  xyz: codes.map((c) => new Color(c).to('xyz-d65').coords),
  lab: codes.map((c) => new Color(c).to('lab-d65').coords),
  difference: pairs.map(([p, q]) => new Color('lab', p).deltaE(new Color('lab', q), '2000')),
};

const numbers = (library) => Object.fromEntries(Object.entries(library).map(
  ([key, rows]) => [key, rows.map((row) => (Array.isArray(row) ? row.map(Number) : Number(row)))]));
console.log(JSON.stringify({ culori: numbers(culori), 'colorjs.io': numbers(colorjs) }));
