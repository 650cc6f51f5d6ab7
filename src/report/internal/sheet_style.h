// The look of the ruling sheet.
#pragma once

namespace plumbmark::report {

/// Inline style: A4 upright, ink on white, no font, picture or rule from elsewhere. Words are in ink
/// throughout.
inline constexpr const char* kSheetStyle = R"css(
@page { size: A4 portrait; margin: 9mm 12mm; }
* { box-sizing: border-box; }
html { background: #e9e7e2; }
body { margin: 0 auto; max-width: 210mm; padding: 11mm 12mm; background: #fff; color: #1d1f21;
  font: 9pt/1.34 Inter, "Noto Sans", "DejaVu Sans", sans-serif; font-variant-numeric: tabular-nums;
  -webkit-print-color-adjust: exact; print-color-adjust: exact; }
@media print { html { background: #fff; } body { max-width: none; padding: 0; } }
@media (max-width: 640px) { body { padding: 5mm; } }
h1, h2, h3, p, ol, ul, dl, dd, figure { margin: 0; padding: 0; }
ol, ul { list-style: none; }
.head { display: flex; justify-content: space-between; gap: 6mm; font-size: 8.4pt;
  border-bottom: .35mm solid #1d1f21; padding-bottom: 1.4mm; }
.head b { font-weight: 600; }
.head p + p { text-align: right; }
h1 { font-size: 14pt; line-height: 1.25; font-weight: 600; margin: 3mm 0 1.6mm; }
.answer { font-size: 10.5pt; line-height: 1.36; padding: 1.6mm 3mm; background: #f4f2ed; border-left: 1.1mm solid #1d1f21; }
.answer p + p { margin-top: .8mm; }
.shape { width: 3.5mm; height: 3.5mm; vertical-align: -.55mm; flex: none; }
h2 { font-size: 8.4pt; font-weight: 600; margin: 2.4mm 0 .8mm; border-bottom: .2mm solid #bdb9b0; padding-bottom: .5mm; }
.rungs { border-left: .7mm solid #cfcbc2; margin-top: 2.4mm; }
.rungs > li { padding: .7mm 2.5mm .9mm 3mm; break-inside: avoid; }
.rungs > li.asked { background: #fbf8f0; box-shadow: -.7mm 0 0 #1d1f21; }
.rung { display: flex; align-items: center; gap: 2mm; }
.rung h3 { font-size: 9.8pt; font-weight: 600; flex: 1; }
.rung b { font-size: 9pt; font-weight: 700; letter-spacing: .02em; white-space: nowrap; }
.under { padding-left: 5.5mm; }
.small, .under .small { font-size: 8pt; color: #45484b; }
.worlds { display: flex; gap: 3mm; margin: 1.2mm 0; }
.worlds > li { flex: 1; border: .25mm solid #bdb9b0; border-radius: .8mm; padding: 1mm 1.8mm; background: #fff; }
.settle { border: .25mm solid #bdb9b0; border-radius: .8mm; padding: 1mm 1.8mm; margin: 1.2mm 0; background: #fff; }
.settle li { padding-left: 4.5mm; text-indent: -4.5mm; }
.settle li::before { content: "\25A1"; display: inline-block; width: 4.5mm; text-indent: 0; }
.call { font-weight: 600; }
.stills { display: grid; grid-template-columns: 1fr 1fr; gap: 2.4mm 5mm; }
.stills.single { grid-template-columns: 1fr; }
.stills figure { break-inside: avoid; }
.pair { display: flex; gap: 1.2mm; }
.pair > div { flex: 1 1 0; min-width: 0; }
.picture { display: block; width: 100%; max-height: 44mm; background: #26282a; }
.single .picture { max-height: 66mm; }
.picture text { font-family: Inter, "Noto Sans", "DejaVu Sans", sans-serif; }
.side { font-size: 8pt; }
.side b { font-weight: 600; }
figcaption { font-size: 8pt; margin-bottom: .6mm; }
.gone { border: .25mm dashed #767676; padding: 3mm; font-size: 8pt; }
.columns { break-inside: avoid; display: grid; grid-template-columns: 1fr 1fr; gap: 0 6mm; align-items: start; }
.columns.marks { grid-template-columns: 1.55fr 1fr; }
.columns li, .columns p { font-size: 7.7pt; line-height: 1.3; }
.columns li { padding-left: 6mm; text-indent: -6mm; }
.columns li i { display: inline-block; width: 6mm; text-indent: 0; font-style: normal; color: #45484b; }
.signatures { display: grid; grid-template-columns: 1.25fr 1fr; gap: 6.5mm 6mm; margin-top: 7mm; break-inside: avoid; }
.signatures p { border-top: .25mm solid #1d1f21; padding-top: .6mm; font-size: 8pt; white-space: nowrap; }
.foot { margin-top: 2mm; border-top: .2mm solid #bdb9b0; padding-top: 1mm; font-size: 7.2pt; line-height: 1.4;
  color: #45484b; overflow-wrap: anywhere; }
)css";

}  // namespace plumbmark::report
