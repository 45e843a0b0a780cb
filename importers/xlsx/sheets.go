package xlsx

import (
	"archive/zip"
	"path"
	"strings"

	"endsmeet/importers"
)

// workbookXML is what is needed of xl/workbook.xml (ECMA-376 part 1, 18.2).
type workbookXML struct {
	Properties struct {
		From1904 bool `xml:"date1904,attr"`
	} `xml:"workbookPr"`
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
		Type   string `xml:"Type,attr"`
		Target string `xml:"Target,attr"`
		Mode   string `xml:"TargetMode,attr"`
	} `xml:"Relationship"`
}

var notWorkbook = importers.Problem{Reason: "a zip archive, but no .xlsx workbook",
	Hint: "if it is an OpenDocument sheet, name it .ods; else save it again as .xlsx"}

// contents are what a workbook says of itself and where its parts are.
type contents struct {
	sheets               importers.Sheets
	from1904             bool   // dates count from 1904
	sharedTexts, formats string // names of the parts; empty where there are none
}

// readContents reads the list of sheets. Relations that lead out of the file
// are not followed.
func readContents(z *zip.Reader, budget *importers.Budget) (contents, error) {
	var book workbookXML
	var rels relationsXML
	found, err := decodePart(findPart(z, "xl/workbook.xml"), budget, &book)
	if found {
		found, err = decodePart(findPart(z, "xl/_rels/workbook.xml.rels"), budget, &rels)
	}
	if err != nil {
		return contents{}, err
	}
	if !found {
		p := notWorkbook
		return contents{}, &p
	}
	c := contents{from1904: book.Properties.From1904}
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
		switch path.Base(r.Type) {
		case "sharedStrings":
			c.sharedTexts = parts[r.ID]
		case "styles":
			c.formats = parts[r.ID]
		}
	}
	for _, s := range book.Sheets {
		if part := parts[s.ID]; part != "" {
			c.sheets = append(c.sheets, importers.Sheet{Name: s.Name, Part: part, Hidden: s.State != "" &&
				s.State != "visible"})
		}
	}
	if len(c.sheets) == 0 {
		return c, &importers.Problem{Reason: "the workbook has no sheet",
			Hint: "save it again as .xlsx"}
	}
	return c, nil
}

// findPart is the part of a name; nil where there is none.
func findPart(z *zip.Reader, name string) *zip.File {
	for _, f := range z.File {
		if strings.EqualFold(strings.ReplaceAll(f.Name, "\\", "/"), name) {
			return f
		}
	}
	return nil
}
