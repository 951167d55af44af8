package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// grid is a table on the terminal: a title, aligned columns, a rule under the
// heads and no other lines. Widths are counted in characters.
type grid struct {
	title string
	heads []string
	right []int // columns of numbers, from 0
	rows  [][]string
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

// print writes the table; nothing at all when it has no rows.
func (g *grid) print(w io.Writer) error {
	if len(g.rows) == 0 {
		return nil
	}
	width := make([]int, len(g.heads))
	for _, row := range append([][]string{g.heads}, g.rows...) {
		for i, cell := range row {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	var b strings.Builder
	if g.title != "" {
		fmt.Fprintf(&b, "\n%s\n", g.title)
	}
	rule := make([]string, len(width))
	for i, n := range width {
		rule[i] = strings.Repeat("-", n)
	}
	for _, row := range append([][]string{g.heads, rule}, g.rows...) {
		b.WriteString(g.line(row, width))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (g *grid) line(row []string, width []int) string {
	var b strings.Builder
	for i, cell := range row {
		pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
		if slices.Contains(g.right, i) {
			b.WriteString("  " + pad + cell)
		} else {
			b.WriteString("  " + cell + pad)
		}
	}
	return strings.TrimRight(b.String(), " ") + "\n"
}
