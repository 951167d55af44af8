package cli

import (
	"fmt"
	"io"
	"slices"
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
	widths := g.fit()
	t.AppendHeader(cells(g.heads, widths))
	for _, row := range g.rows {
		t.AppendRow(cells(row, widths))
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

// wide is how many columns a terminal is sure to have.
const wide = 80

// fit returns the width of each column. Where 80 columns do not hold the table, the
// widest columns of words become narrower, down to what a short word takes.
func (g *grid) fit() []int {
	const least = 10
	widths, total := make([]int, len(g.heads)), 0
	for i, head := range g.heads {
		widths[i] = text.StringWidth(head)
		for _, row := range g.rows {
			widths[i] = max(widths[i], text.StringWidth(row[i]))
		}
		total += widths[i] + 2 // before the first column stands an indent
	}
	for ; total >= wide; total-- {
		widest := -1
		for i, w := range widths {
			if !slices.Contains(g.right, i) && w > max(least, text.StringWidth(g.heads[i])) && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
	}
	return widths
}

// cells writes a row with its texts broken to the widths.
func cells(texts []string, widths []int) table.Row {
	row := make(table.Row, len(texts))
	for i, s := range texts {
		row[i] = strings.Join(lines(legible(s), widths[i]), "\n")
	}
	return row
}

// lines breaks text at spaces into lines of at most width columns; a longer word
// keeps its line. A no-break space becomes a space that no line is broken at.
func lines(s string, width int) []string {
	if text.StringWidth(s) <= width {
		return []string{strings.ReplaceAll(s, noBreak, " ")}
	}
	out := []string{""}
	for word := range strings.SplitSeq(s, " ") {
		last := &out[len(out)-1]
		switch {
		case *last == "":
			*last = word
		case text.StringWidth(*last)+1+text.StringWidth(word) > width:
			out = append(out, word)
		default:
			*last += " " + word
		}
	}
	for i := range out {
		out[i] = strings.ReplaceAll(out[i], noBreak, " ")
	}
	return out
}

// noBreak is a space at which no line is broken.
const noBreak = "\u00a0"

// unbroken keeps words together in one line.
func unbroken(s string) string { return strings.ReplaceAll(s, " ", noBreak) }
