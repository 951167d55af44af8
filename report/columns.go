package report

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
)

// dash stands in a cell that can hold nothing.
const dash = "–"

// withoutEmptyColumns takes out of every table the columns in which no row says anything,
// and says below it which of them nobody recorded. A table keeps its first two columns at
// least: one with a column of names and one of values says of each that it is not recorded.
func withoutEmptyColumns(md []byte) []byte {
	lines := strings.SplitAfter(string(md), "\n")
	var out strings.Builder
	out.Grow(len(md))
	for i := 0; i < len(lines); {
		n := i
		for n < len(lines) && strings.HasPrefix(lines[n], "|") {
			n++
		}
		if n > i+2 {
			writeTable(&out, lines[i:n])
			i = n
			continue
		}
		out.WriteString(lines[i])
		i++
	}
	return []byte(out.String())
}

// writeTable writes the rows of a table without the columns that are empty.
func writeTable(out *strings.Builder, lines []string) {
	rows := make([][]string, len(lines))
	for i, l := range lines {
		rows[i] = cells(l)
	}
	var empty []int
	var lacking []string
	for c := 1; c < len(rows[0]) && len(rows[0])-len(empty) > 2; c++ {
		all, blank := emptyColumn(rows[2:], c)
		if all || blank {
			empty = append(empty, c)
		}
		if all && !blank {
			lacking = append(lacking, strings.TrimSpace(rows[0][c]))
		}
	}
	if len(empty) == 0 {
		for _, l := range lines {
			out.WriteString(l)
		}
		return
	}
	for _, r := range rows {
		for c, cell := range r {
			if !slices.Contains(empty, c) {
				out.WriteString("|" + cell)
			}
		}
		out.WriteString("|\n")
	}
	if len(lacking) > 0 {
		out.WriteString("\nIn none of these recorded: " + strings.Join(lacking, "; ") + ".\n")
	}
}

// emptyColumn reports whether every cell of a column is not recorded or can hold nothing,
// and whether every one can hold nothing.
func emptyColumn(rows [][]string, column int) (all, blank bool) {
	all, blank = true, true
	for _, r := range rows {
		if column >= len(r) {
			return false, false
		}
		switch strings.TrimSpace(r[column]) {
		case dash:
		case string(notRecorded):
			blank = false
		default:
			return false, false
		}
	}
	return all, blank
}

// cells parts a row at its borders; a bar that belongs to a text is escaped.
func cells(line string) (out []string) {
	line = strings.TrimSuffix(strings.TrimPrefix(strings.TrimSuffix(line, "\n"), "|"), "|")
	from := 0
	for i := 0; i < len(line); i++ {
		if line[i] == '\\' {
			i++
			continue
		}
		if line[i] == '|' {
			out, from = append(out, line[from:i]), i+1
		}
	}
	return append(out, line[from:])
}

// rightCell is a cell of numbers, withUnit is a number with its unit in it.
var (
	rightCell = regexp.MustCompile(`<td class="right">[^\n]*?</td>`)
	withUnit  = regexp.MustCompile(`([0-9]) (±|min|psi|ppm|%|gpm|lb|kPa|kg|ft|in|m|mm|Ω|°)`)
)

// unparted keeps a number and its unit on one line in the cells of numbers; gallons, which
// stand in the broadest tables, only with their doubt.
func unparted(body []byte) []byte {
	return rightCell.ReplaceAllFunc(body, func(cell []byte) []byte {
		return withUnit.ReplaceAll(bytes.ReplaceAll(cell, []byte("± "), []byte("±\u00a0")), []byte("$1\u00a0$2"))
	})
}
