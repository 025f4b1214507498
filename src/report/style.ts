/** Sheet of the report: dark on white, tables that fit a printed page, pictures that scroll on a telephone. */
export const CSS = `
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem 1.25rem 3rem; max-width: 76rem; color: #1a1a1a; background: #fff;
  font: 16px/1.5 "DejaVu Sans", Verdana, system-ui, sans-serif; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: .5rem 0; }
h2 { font-size: 1.2rem; margin: 2.2rem 0 .6rem; padding-top: .6rem; border-top: 2px solid #1a1a1a; }
h3 { font-size: 1rem; margin: 1.2rem 0 .4rem; }
p { max-width: 46rem; margin: .5rem 0; }
ul { max-width: 46rem; padding-left: 1.3rem; }
.lead { color: #444; }
.stamp { border: 3px solid #b00020; color: #b00020; padding: .6rem .9rem; font-weight: bold; max-width: none; }
.warn { border-left: 5px solid #d55e00; padding: .3rem .9rem; background: #fdf3ec; }
.good { border-left: 5px solid #0072b2; padding: .3rem .9rem; background: #eef5fa; max-width: none; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-size: .84rem; font-variant-numeric: tabular-nums; min-width: 50%; }
caption { text-align: left; font-weight: bold; padding: .4rem 0; }
th, td { padding: .28rem .6rem; border-bottom: 1px solid #ccc; text-align: left; vertical-align: top; }
thead th { border-bottom: 2px solid #1a1a1a; }
tbody th { font-weight: 600; }
.n { text-align: right; white-space: nowrap; }
td small, tbody th small { display: block; color: #555; font-size: .86em; font-weight: 400; }
.bad { color: #b00020; font-weight: bold; }
.big { font-size: 1.15em; font-weight: bold; }
.total th, .total td { border-top: 2px solid #1a1a1a; border-bottom: 0; font-weight: bold; }
.key { display: flex; flex-wrap: wrap; gap: .2rem 1.1rem; padding-bottom: .3rem; color: #1a1a1a; }
.key i { display: inline-block; width: .9rem; height: .9rem; border: 1px solid #1a1a1a; margin-right: .35rem; vertical-align: -.12rem; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.facts { display: grid; grid-template-columns: repeat(auto-fit, minmax(15rem, 1fr)); gap: .3rem 1.4rem; margin: .8rem 0; }
.facts > div { border-bottom: 1px solid #ccc; padding: .2rem 0; }
.facts dt { font-size: .78rem; color: #444; }
.facts dd { margin: 0; font-weight: 600; }
.facts small, li small { color: #555; }
figure { margin: 1rem 0 1.6rem; }
figure > .scroll > svg { display: block; width: 100%; height: auto; max-height: 48rem; }
figure.small > .scroll > svg { max-height: 30rem; }
figcaption { font-size: .84rem; color: #444; padding-top: .3rem; }
.pair { display: grid; grid-template-columns: repeat(auto-fit, minmax(22rem, 1fr)); gap: 1rem; }
@media (max-width: 46rem) {
  body { padding: .6rem .7rem 2rem; }
  figure.wide > .scroll > svg { width: 50rem; max-height: none; }
  .pair { grid-template-columns: 1fr; }
}
@media print {
  @page { size: A4; margin: 12mm; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  h2, h3, caption, thead { break-after: avoid; }
  figure, tr, .warn, .stamp { break-inside: avoid; }
  .page { break-before: page; }
  .scroll { overflow: visible; }
  .facts { grid-template-columns: repeat(3, 1fr); }
  figure > .scroll > svg { max-height: 165mm; }
  .facts + figure > .scroll > svg { max-height: 130mm; }
  figure.small > .scroll > svg { max-height: 90mm; }
  .pair { grid-template-columns: 1fr 1fr; }
  table { font-size: 8pt; }
  th, td { padding: .15rem .35rem; }
}
`;
