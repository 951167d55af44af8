package report

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// No cell that came from outside begins as a formula does, whatever was logged, and the
// tables read back with as many columns as their heads name.
func TestTablesRunNoFormula(t *testing.T) {
	hostile := []string{"=HYPERLINK(\"http://x\")", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "a\"b,c\nd", "\x00=1"}
	var drafts []events.Draft
	for i, text := range hostile {
		drafts = append(drafts, said(i, text, text, kinds.Note{Text: text}),
			said(i, text, text, kinds.InHot{Pair: text, Task: text}))
	}
	c := kinds.Catalogue()
	tl := c.NewTimeline(sealed(t, drafts), events.View{})
	for _, table := range Tables(c, tl, projections.Fold(c, tl).State()) {
		if !bytes.HasSuffix(table.CSV, []byte("\r\n")) {
			t.Errorf("%s: the last line does not end as RFC 4180 has it", table.Name)
		}
		rows, err := csv.NewReader(bytes.NewReader(table.CSV)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", table.Name, err)
		}
		if table.Name == "events.csv" && len(rows) != len(drafts)+1 {
			t.Errorf("%s: %d rows, want %d and the head", table.Name, len(rows), len(drafts))
		}
		for _, row := range rows {
			for _, cell := range row {
				if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n\x00") {
					t.Errorf("%s: a spreadsheet would run %q", table.Name, cell)
				}
			}
		}
	}
}
