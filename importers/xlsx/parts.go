package xlsx

import (
	"encoding/xml"
	"io"
	"strconv"
	"strings"
)

// The namespaces and types that the parts name (ECMA-376, transitional).
const (
	mainSpace    = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	packageSpace = "http://schemas.openxmlformats.org/package/2006/"
	officeSpace  = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	sheetmlType  = "application/vnd.openxmlformats-officedocument.spreadsheetml."
)

// styleSheet has two styles: the ordinary one and bold.
const styleSheet = `<styleSheet xmlns="` + mainSpace + `">` +
	`<fonts count="2"><font><sz val="11"/><name val="Calibri"/></font><font><b/><sz val="11"/><name val="Calibri"/></font></fonts>` +
	`<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>` +
	`<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>` +
	`<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>` +
	`<cellXfs count="2"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>` +
	`<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="0" applyFont="1"/></cellXfs>` +
	`<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>`

// writeParts writes every part but the sheets.
func (w *Writer) writeParts() error {
	for _, part := range []struct{ name, text string }{
		{"[Content_Types].xml", w.contentTypes()},
		{"_rels/.rels", relations(relation("officeDocument", "xl/workbook.xml", 1))},
		{"xl/workbook.xml", w.workbook()},
		{"xl/_rels/workbook.xml.rels", w.workbookRelations()},
		{"xl/styles.xml", styleSheet},
	} {
		out, err := w.zip.Create(part.name)
		if err != nil {
			return err
		}
		if _, err := io.WriteString(out, xml.Header+part.text); err != nil {
			return err
		}
	}
	return nil
}

func (w *Writer) contentTypes() string {
	var b strings.Builder
	b.WriteString(`<Types xmlns="` + packageSpace + `content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="xml" ContentType="application/xml"/>`)
	override := func(name, kind string) {
		b.WriteString(`<Override PartName="/xl/` + name + `.xml" ContentType="` + sheetmlType +
			kind + `+xml"/>`)
	}
	override("workbook", "sheet.main")
	override("styles", "styles")
	for i := range w.names {
		override("worksheets/sheet"+strconv.Itoa(i+1), "worksheet")
	}
	return b.String() + `</Types>`
}

// workbook lists the sheets; rIdN is the relation to the part of sheet N.
func (w *Writer) workbook() string {
	var b strings.Builder
	b.WriteString(`<workbook xmlns="` + mainSpace + `" xmlns:r="` + officeSpace + `"><sheets>`)
	for i, name := range w.names {
		n := strconv.Itoa(i + 1)
		b.WriteString(`<sheet name="`)
		_ = xml.EscapeText(&b, []byte(name)) // a strings.Builder takes all
		b.WriteString(`" sheetId="` + n + `" r:id="rId` + n + `"/>`)
	}
	return b.String() + `</sheets></workbook>`
}

func (w *Writer) workbookRelations() string {
	all := make([]string, 0, len(w.names)+1)
	for i := range w.names {
		all = append(all, relation("worksheet", "worksheets/sheet"+strconv.Itoa(i+1)+".xml", i+1))
	}
	return relations(append(all, relation("styles", "styles.xml", len(w.names)+1))...)
}

func relations(each ...string) string {
	return `<Relationships xmlns="` + packageSpace + `relationships">` + strings.Join(each, "") +
		`</Relationships>`
}

func relation(kind, target string, n int) string {
	return `<Relationship Id="rId` + strconv.Itoa(n) + `" Type="` + officeSpace + `/` + kind +
		`" Target="` + target + `"/>`
}
