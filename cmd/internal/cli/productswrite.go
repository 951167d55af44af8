package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"tankside/projections/calc/petroleum"
)

// write puts the table in force into a file that a department may change. A file that
// is there is never written over.
func (p *products) write(name string) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return usage("products: %s is there already and stays as it is; write to another name", name)
	}
	if err != nil {
		return usage("products: %w; give a file in a folder that is there and may be written", err)
	}
	_, err = f.WriteString(p.yaml())
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("products: write %s: %w", name, err)
	}
	return nil
}

// yaml is the table as the file of a department has it.
func (p *products) yaml() string {
	var b strings.Builder
	b.WriteString("# What is taken for a product nobody measured. Change what your own papers say otherwise,\n" +
		"# say who says so under source, and take out what you leave as it is. Named by --products,\n" +
		"# or laid into the data folder as products.yaml.\nproducts:\n")
	for _, q := range p.table {
		fmt.Fprintf(&b, "  - name: %q\n    source: %q\n    aliases: [%s]\n", q.Name, q.Source, inQuotes(q.Names))
		if q.API != 0 {
			fmt.Fprintf(&b, "    api: %g\n", q.API)
		}
		for _, f := range productFigures(q) {
			fmt.Fprintf(&b, "    %s: %g\n", f.name, f.value)
		}
		fmt.Fprintf(&b, "    blend: %t\n", q.Blend)
	}
	return b.String()
}

func inQuotes(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = fmt.Sprintf("%q", w)
	}
	return strings.Join(out, ", ")
}

// productFigure is a figure of a product by its name in the file.
type productFigure struct {
	name  string
	value float64
}

// productFigures are the figures of a product that the file may have.
func productFigures(q petroleum.Product) []productFigure {
	return []productFigure{
		{"shrinkage_per_f", q.Alpha}, {"shrinkage_doubt", q.AlphaU}, {"table_doubt", q.TableU},
		{"lb_per_gallon", q.PerGallon}, {"lb_per_gallon_doubt", q.PerU}, {"rvp_low_psi", q.RVPLow}, {"rvp_high_psi", q.RVPHigh},
		{"vapour_a", q.VapourA}, {"vapour_b", q.VapourB}, {"vapour_weight", q.VapourWeight}, {"fill", q.Fill},
	}
}
