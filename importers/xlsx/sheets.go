package xlsx

import (
	"archive/zip"
	"encoding/xml"
	"path"
	"strings"

	"endsmeet/importers"
)

// sheet is a sheet of the workbook and the part that holds it.
type sheet struct {
	name, part string
	hidden     bool
}

// workbookXML is what is needed of xl/workbook.xml (ECMA-376 part 1, 18.2).
type workbookXML struct {
	Sheets []struct {
		Name  string `xml:"name,attr"`
		State string `xml:"state,attr"`
		ID    string `xml:"id,attr"`
	} `xml:"sheets>sheet"`
}

// relationsXML is a part's list of relations (ECMA-376 part 2, 8.3).
type relationsXML struct {
	Relations []struct {
		ID     string `xml:"Id,attr"`
		Target string `xml:"Target,attr"`
		Mode   string `xml:"TargetMode,attr"`
	} `xml:"Relationship"`
}

var notWorkbook = importers.Problem{Reason: "a zip archive, but no .xlsx workbook", Hint: "if it is an OpenDocument sheet, name it .ods; else save it again as .xlsx"}

// findSheets reads the list of sheets. Relations that lead out of the file are
// not followed.
func findSheets(z *zip.Reader) ([]sheet, error) {
	var book workbookXML
	var rels relationsXML
	if !readPart(z, "xl/workbook.xml", &book) || !readPart(z, "xl/_rels/workbook.xml.rels", &rels) {
		p := notWorkbook
		return nil, &p
	}
	parts := make(map[string]string)
	for _, r := range rels.Relations {
		if strings.EqualFold(r.Mode, "External") {
			continue
		}
		target := r.Target
		if !strings.HasPrefix(target, "/") {
			target = path.Join("xl", target)
		}
		parts[r.ID] = strings.TrimPrefix(path.Clean(target), "/")
	}
	var sheets []sheet
	for _, s := range book.Sheets {
		if part := parts[s.ID]; part != "" {
			sheets = append(sheets, sheet{name: s.Name, part: part, hidden: s.State != "" && s.State != "visible"})
		}
	}
	if len(sheets) == 0 {
		return nil, &importers.Problem{Reason: "the workbook has no sheet", Hint: "save it again as .xlsx"}
	}
	return sheets, nil
}

// readPart decodes a small XML part. It is false if the part is missing or no
// XML.
func readPart(z *zip.Reader, name string, into any) bool {
	part := findPart(z, name)
	if part == nil {
		return false
	}
	in, err := part.Open()
	if err != nil {
		return false
	}
	defer in.Close()
	return xml.NewDecoder(in).Decode(into) == nil
}

func findPart(z *zip.Reader, name string) *zip.File {
	for _, f := range z.File {
		if strings.EqualFold(strings.ReplaceAll(f.Name, "\\", "/"), name) {
			return f
		}
	}
	return nil
}
