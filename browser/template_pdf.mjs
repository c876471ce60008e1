// A printer's template as a PDF, written here line by line: boxes, a solid cut, dashed folds and
// words below. Nothing of the program's own has to do with it.

const POINT = 25.4 / 72;

/**
 * Of a sheet of upright panels: `panels` by name from left to right, `height` and `bleed`, all in
 * millimetres. Gives the bytes of a PDF of one page with 30 mm of paper around the bleed.
 */
export function templatePdf({ panels, height, bleed }) {
  const width = Object.values(panels).reduce((sum, each) => sum + each, 0);
  const around = 30 + bleed;
  const at = (mm) => (mm / POINT).toFixed(3);
  const box = (left, foot, right, top) => `[${[left, foot, right, top].map(at).join(" ")}]`;
  const stroke = (x0, y0, x1, y1) => `${at(around + x0)} ${at(around + y0)} m ${at(around + x1)} ${at(around + y1)} l S`;
  const drawn = ["0.4 w", `${at(around)} ${at(around)} ${at(width)} ${at(height)} re S`, "[6 3] 0 d"];
  let edge = 0;
  for (const panel of Object.values(panels).slice(0, -1)) {
    edge += panel;
    drawn.push(stroke(edge, -8, edge, height + 8));
  }
  drawn.push("[] 0 d", `BT /F 9 Tf ${at(around)} ${at(10)} Td (Keep the spine clear of pictures that must meet.) Tj ET`);
  const content = drawn.join("\n");
  const objects = [
    "<< /Type /Catalog /Pages 2 0 R >>",
    "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
    `<< /Type /Page /Parent 2 0 R /Contents 4 0 R /Resources << /Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >> >> /MediaBox ${box(0, 0, width + 2 * around, height + 2 * around)} /BleedBox ${box(30, 30, around + width + bleed, around + height + bleed)} /TrimBox ${box(around, around, around + width, around + height)} >>`,
    `<< /Length ${content.length} >>\nstream\n${content}\nendstream`,
  ];
  let out = "%PDF-1.6\n";
  const places = objects.map((body, index) => {
    const place = out.length;
    out += `${index + 1} 0 obj\n${body}\nendobj\n`;
    return place;
  });
  const start = out.length;
  const table = places.map((place) => `${String(place).padStart(10, "0")} 00000 n \n`).join("");
  out += `xref\n0 ${objects.length + 1}\n0000000000 65535 f \n${table}`;
  out += `trailer << /Size ${objects.length + 1} /Root 1 0 R >>\nstartxref\n${start}\n%%EOF\n`;
  return Buffer.from(out, "latin1");
}
