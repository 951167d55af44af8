package report

import (
	"cmp"
	"slices"
	"strings"

	"tankside/projections"
)

// FindingGroup is the findings of one rule that are equally grave and held against the
// same limit. What they say alike is said once.
type FindingGroup struct {
	Severity projections.Severity
	Ref      string
	Rule     string
	Limit    *projections.Threshold
	Alike    string // what all of them say, with … for what differs; empty of a single one
	Findings []projections.Finding
	Own      []string // what only this one says, by finding
}

// FindingGroups are the findings of the rules, grouped, the gravest first and else in
// the order of their first.
func (d Document) FindingGroups() (out []FindingGroup) {
	for _, f := range d.State.Findings {
		same := func(g FindingGroup) bool {
			return g.Rule == f.Rule && g.Severity == f.Severity && sameLimit(g.Limit, f.Limit)
		}
		i := slices.IndexFunc(out, same)
		if i < 0 {
			i = len(out)
			out = append(out, FindingGroup{Severity: f.Severity, Ref: f.Ref, Rule: f.Rule, Limit: f.Limit})
		}
		out[i].Findings = append(out[i].Findings, f)
	}
	for i := range out {
		out[i].compare()
	}
	slices.SortStableFunc(out, func(a, b FindingGroup) int { return cmp.Compare(b.Severity.Rank(), a.Severity.Rank()) })
	return out
}

// Brief reports whether what each finding alone says is so short that they stand behind
// one another.
func (g FindingGroup) Brief() bool {
	return g.Alike != "" && !slices.ContainsFunc(g.Own, func(s string) bool { return len(strings.Fields(s)) >= enough })
}

func sameLimit(a, b *projections.Threshold) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Op == b.Op && a.Value == b.Value && a.Unit == b.Unit && a.Source == b.Source && slices.Equal(a.From, b.From)
}

// enough is how many words several findings must share before they are said once.
const enough = 5

// compare parts what all findings of the group say from what each alone does. The
// words that differ must lie together; else each says all of it.
func (g *FindingGroup) compare() {
	var said [][]string
	for _, f := range g.Findings {
		said = append(said, strings.Fields(f.Statement))
		g.Own = append(g.Own, f.Statement)
	}
	if len(said) < 2 {
		return
	}
	head, tail := common(said, func(w []string, i int) string { return w[i] }), 0
	for i := range said {
		said[i] = said[i][head:]
	}
	tail = common(said, func(w []string, i int) string { return w[len(w)-1-i] })
	if head+tail < enough {
		return
	}
	words := strings.Fields(g.Findings[0].Statement)
	g.Alike = strings.Join(slices.Concat(words[:head], []string{"…"}, words[len(words)-tail:]), " ")
	for i, w := range said {
		g.Own[i] = strings.Join(w[:len(w)-tail], " ")
	}
}

// common counts the words that are the same in all, as at picks them.
func common(said [][]string, at func(words []string, i int) string) int {
	for n := 0; ; n++ {
		for _, w := range said {
			if n >= len(w) || at(w, n) != at(said[0], n) {
				return n
			}
		}
	}
}

// BalanceTable is the balances of the load, or of what was let out, side by side: of all
// product and of each.
type BalanceTable struct {
	Of       string
	Title    string
	Products []string // with what they are counted in, where that differs
	Basis    string   // of all; empty where it differs
	Rows     []BalanceRow
	Balances []projections.Balance
}

// BalanceRow is a line of it: one figure a product.
type BalanceRow struct {
	Name    string
	Figures []*projections.Figure // nil where the balance has no such term
	How     string
}

// abreast is how many balances stand beside each other on a page.
const abreast = 3

// BalanceTables are the balances, no more beside each other than a page has room for.
func (d Document) BalanceTables() (out []BalanceTable) {
	for _, of := range []struct{ name, title string }{{"load", "the load"}, {"released", "what was let out"}} {
		all := keep(d.State.Volume.Balances, func(b projections.Balance) bool { return b.Of == of.name })
		for part := range slices.Chunk(all, abreast) {
			out = append(out, balanceTable(of.name, of.title, part))
		}
	}
	return out
}

func balanceTable(of, title string, part []projections.Balance) BalanceTable {
	t := BalanceTable{Of: of, Title: title, Basis: part[0].Basis, Balances: part}
	for _, b := range part {
		if b.Basis != t.Basis {
			t.Basis = ""
		}
	}
	for _, b := range part {
		name := b.Product
		if name == "all" {
			name = "all product"
		}
		if t.Basis == "" {
			name += ", " + b.Basis
		}
		t.Products = append(t.Products, name)
	}
	for i, b := range part {
		for _, term := range b.Terms {
			t.row(term, len(part)).Figures[i] = &term.Figure
		}
	}
	return t
}

// row is the line of a term, which comes in where no balance before had it.
func (t *BalanceTable) row(term projections.Term, width int) *BalanceRow {
	name := term.Name
	if term.Sign < 0 {
		name = "less " + name
	}
	i := slices.IndexFunc(t.Rows, func(r BalanceRow) bool { return r.Name == name })
	if i < 0 {
		i = len(t.Rows)
		t.Rows = append(t.Rows, BalanceRow{name, make([]*projections.Figure, width), term.Figure.Method})
	}
	return &t.Rows[i]
}
