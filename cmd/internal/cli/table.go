package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// grid is a table on the terminal: a title, aligned columns, a rule under the
// heads and no other lines.
type grid struct {
	title string
	heads []string
	right []int // columns of numbers, from 0
	rows  [][]string
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

// bare is the look of every table: two spaces between columns, nothing coloured.
var bare = table.Style{
	Name:    "bare",
	Box:     table.BoxStyle{MiddleHorizontal: "-", MiddleSeparator: "  ", MiddleVertical: "  "},
	Format:  table.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault},
	Options: table.Options{SeparateHeader: true, SeparateColumns: true},
}

// print writes the table; nothing at all when it has no rows.
func (g *grid) print(w io.Writer) error {
	if len(g.rows) == 0 {
		return nil
	}
	t := table.NewWriter()
	t.SetStyle(bare)
	t.SuppressTrailingSpaces()
	t.AppendHeader(cells(g.heads))
	for _, row := range g.rows {
		t.AppendRow(cells(row))
	}
	var numbers []table.ColumnConfig
	for _, i := range g.right {
		numbers = append(numbers, table.ColumnConfig{Number: i + 1, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(numbers)
	title := ""
	if g.title != "" {
		title = "\n" + g.title + "\n"
	}
	_, err := fmt.Fprintf(w, "%s  %s\n", title, strings.ReplaceAll(t.Render(), "\n", "\n  "))
	return err
}

func cells(texts []string) table.Row {
	row := make(table.Row, len(texts))
	for i, s := range texts {
		row[i] = legible(s)
	}
	return row
}
