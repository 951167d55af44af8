package cli

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// productsFile is the department's own product figures, in its data folder.
const productsFile = "products.yaml"

// products is the table in force, and which of its products a file has changed.
type products struct {
	table   petroleum.Table
	file    string              // "" for the figures of the trade alone
	changed map[string][]string // what the file says of a product, by its name
}

// productLine is what a file says of one product. What it leaves out stays as it is.
type productLine struct {
	Name         string
	Like         string // another product that a new one has the rest from
	Aliases      []string
	Source       string
	API          *float64
	Density      *float64 `mapstructure:"density_kg_m3"`
	Shrinkage    *float64 `mapstructure:"shrinkage_per_f"`
	ShrinkageU   *float64 `mapstructure:"shrinkage_doubt"`
	TableU       *float64 `mapstructure:"table_doubt"`
	PerGallon    *float64 `mapstructure:"lb_per_gallon"`
	PerU         *float64 `mapstructure:"lb_per_gallon_doubt"`
	Blend        *bool
	RVPLow       *float64 `mapstructure:"rvp_low_psi"`
	RVPHigh      *float64 `mapstructure:"rvp_high_psi"`
	VapourA      *float64 `mapstructure:"vapour_a"`
	VapourB      *float64 `mapstructure:"vapour_b"`
	VapourWeight *float64 `mapstructure:"vapour_weight"`
	Fill         *float64
}

// products reads the table in force: the file of --products, else the one in the
// data folder if there is one, over the figures of the trade.
func (s *settings) products() (*products, error) {
	p := &products{table: petroleum.Defaults(), changed: map[string][]string{}}
	name := s.v.GetString(flagProducts)
	if name == "" {
		dir, err := s.dir()
		if err != nil {
			return nil, err
		}
		name = filepath.Join(dir, productsFile)
		if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
			return p, nil
		}
	}
	if err := p.read(name); err != nil {
		return nil, usage("products: %s: %w", name, err)
	}
	p.file = name
	return p, nil
}

// read reads a file over the table.
func (p *products) read(name string) error {
	v := viper.New()
	v.SetConfigFile(name)
	v.SetConfigType("yaml")
	if err := v.ReadInConfig(); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return errors.New("no such file; check the name, or leave --products out for the figures of the trade")
		}
		return fmt.Errorf("not YAML as it should be: %w", err)
	}
	var doc struct{ Products []productLine }
	if err := v.UnmarshalExact(&doc); err != nil {
		return fmt.Errorf("%w; tankside products --help lists what a product may have", plainly(err))
	}
	if len(doc.Products) == 0 {
		return errors.New("no product in it; begin with \"products:\" and one \"- name: ...\" for each")
	}
	for i, l := range doc.Products {
		if err := p.take(l); err != nil {
			return fmt.Errorf("product %d: %w", i+1, err)
		}
	}
	return nil
}

// plainly is a fault of the YAML decoder without its heading and its blank lines.
func plainly(err error) error {
	_, text, found := strings.Cut(err.Error(), "error(s):")
	if !found {
		text = err.Error()
	}
	return errors.New(strings.Replace(strings.Join(strings.Fields(text), " "), "'' has", "the file has", 1))
}

// take puts what a line says into the table.
func (p *products) take(l productLine) error {
	if strings.TrimSpace(l.Name) == "" {
		return errors.New("it has no name; begin it with \"- name: ...\"")
	}
	if _, twice := p.changed[strings.ToLower(l.Name)]; twice {
		return fmt.Errorf("%s stands in the file twice; write it once", l.Name)
	}
	product, err := p.base(l)
	if err != nil {
		return err
	}
	if l.API != nil && l.Density != nil {
		return fmt.Errorf("%s: both api and density_kg_m3; leave one out", l.Name)
	}
	changed, err := l.over(&product)
	if err != nil {
		return err
	}
	if len(changed) == 0 {
		return fmt.Errorf("%s: nothing is said of it but its name", l.Name)
	}
	if l.Source == "" {
		return fmt.Errorf("%s: no source; say who says so, such as \"source: terminal certificate of 3 May\"", l.Name)
	}
	if err := product.Check(); err != nil {
		return err
	}
	p.table = p.table.With(product)
	p.changed[strings.ToLower(product.Name)] = changed
	return nil
}

// base is the product that a line changes: the one of its name, else a new one, like
// another or of nothing.
func (p *products) base(l productLine) (petroleum.Product, error) {
	known := p.table.Named(l.Name)
	if l.Like == "" && known >= 0 {
		return p.table[known], nil
	}
	if l.Like == "" {
		return petroleum.Product{Name: l.Name, Names: []string{strings.ToLower(l.Name)}}, nil
	}
	if known >= 0 {
		return petroleum.Product{}, fmt.Errorf("%s: \"like\" is for a new product; this one is in the table", l.Name)
	}
	like := p.table.Named(l.Like)
	if like < 0 {
		return petroleum.Product{}, fmt.Errorf("%s: like %q, which is no product; it knows %s", l.Name, l.Like, strings.Join(p.names(), ", "))
	}
	product := p.table[like]
	product.Name, product.Names = l.Name, []string{strings.ToLower(l.Name)}
	return product, nil
}

func (p *products) names() (out []string) {
	for _, product := range p.table {
		out = append(out, product.Name)
	}
	return out
}

// over writes what the line says over the product and names it: the gravity with what
// follows from it, then the rest.
func (l *productLine) over(p *petroleum.Product) (changed []string, err error) {
	by := cmp.Or(p.AlphaBy, p.Source)
	p.AlphaBy = ""
	switch {
	case l.API != nil:
		*p, err = p.OfGravity(quantity.APIGravity(*l.API))
		changed = append(changed, "api")
	case l.Density != nil:
		*p, err = p.OfGravity(petroleum.Gravity(*l.Density))
		changed = append(changed, "density_kg_m3")
	}
	if err != nil {
		return nil, err
	}
	if p.AlphaBy = cmp.Or(p.AlphaBy, by); l.Shrinkage != nil {
		p.AlphaBy = l.Source
	}
	for _, f := range []struct {
		name string
		said *float64
		at   *float64
	}{
		{"shrinkage_per_f", l.Shrinkage, &p.Alpha}, {"shrinkage_doubt", l.ShrinkageU, &p.AlphaU}, {"table_doubt", l.TableU, &p.TableU},
		{"lb_per_gallon", l.PerGallon, &p.PerGallon}, {"lb_per_gallon_doubt", l.PerU, &p.PerU}, {"rvp_low_psi", l.RVPLow, &p.RVPLow},
		{"rvp_high_psi", l.RVPHigh, &p.RVPHigh}, {"vapour_a", l.VapourA, &p.VapourA}, {"vapour_b", l.VapourB, &p.VapourB},
		{"vapour_weight", l.VapourWeight, &p.VapourWeight}, {"fill", l.Fill, &p.Fill},
	} {
		if f.said != nil {
			*f.at = *f.said
			changed = append(changed, f.name)
		}
	}
	if l.Blend != nil {
		p.Blend = *l.Blend
		changed = append(changed, "blend")
	}
	if l.Aliases != nil {
		p.Names = slices.Clone(l.Aliases)
		changed = append(changed, "aliases")
	}
	if l.Like != "" {
		changed = append(changed, "like "+l.Like)
	}
	p.Source = l.Source
	return changed, nil
}

// productInfo is what is printed of a product as data.
type productInfo struct {
	Name         string               `json:"name"`
	Aliases      []string             `json:"aliases"`
	Source       string               `json:"source"`
	Changed      []string             `json:"changed"` // by the file
	API          *quantity.APIGravity `json:"api"`
	Shrinkage    float64              `json:"shrinkage_per_f"`
	ShrinkageU   float64              `json:"shrinkage_doubt"`
	TableU       float64              `json:"table_doubt"`
	PerGallon    float64              `json:"lb_per_gallon"`
	PerU         float64              `json:"lb_per_gallon_doubt"`
	Blend        bool                 `json:"blend"`
	RVPLow       float64              `json:"rvp_low_psi"`
	RVPHigh      float64              `json:"rvp_high_psi"`
	VapourA      float64              `json:"vapour_a"`
	VapourB      float64              `json:"vapour_b"`
	VapourWeight float64              `json:"vapour_weight"`
	Fill         float64              `json:"fill"`
}

func (p *products) info(q petroleum.Product) productInfo {
	i := productInfo{q.Name, q.Names, q.Source, append([]string{}, p.changed[strings.ToLower(q.Name)]...), nil, q.Alpha, q.AlphaU, q.TableU, q.PerGallon, q.PerU, q.Blend,
		q.RVPLow, q.RVPHigh, q.VapourA, q.VapourB, q.VapourWeight, q.Fill}
	if q.API != 0 {
		i.API = &q.API
	}
	return i
}

// productsCommand prints the product table in force.
func (a *App) productsCommand(s *settings) *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "products",
		Short: "The figures taken for a product when nobody measured it",
		Long: `The figures that are taken for a product when nobody measured it: the names it goes
by, how it shrinks, what a gallon weighs, how far a tank of it may be filled, and who
says so. What a paper or an instrument says of the load always goes before them.

A department puts its own over them with a file, named by --products or TANKSIDE_PRODUCTS,
or laid into the data folder as products.yaml:

  products:
    - name: diesel               # one of the table: what is not said stays as it is
      lb_per_gallon: 7.10
      source: terminal certificate of 3 May
    - name: marine gas oil       # a new one, the rest as of another
      like: diesel
      aliases: [marine gas oil, mgo]
      api: 34.5
      source: supplier's data sheet

It may say: aliases, like, source, api or density_kg_m3 (which
bring the weight and the shrinkage that go with them), shrinkage_per_f and
shrinkage_doubt (where no gravity is known), table_doubt, lb_per_gallon and
lb_per_gallon_doubt, blend (true: outside the tables), rvp_low_psi, rvp_high_psi,
vapour_a, vapour_b, vapour_weight (g a mole) and fill (share of a tank that may be
filled when the temperature is not known). Doubts are standard uncertainties. To begin
such a file from the figures in force: --write FILE.`,
		Args:        noArgs,
		Annotations: map[string]string{usesProducts: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			p, err := s.products()
			if err != nil {
				return err
			}
			if file != "" {
				if err := p.write(file); err != nil {
					return err
				}
				_, err := fmt.Fprintf(a.Out, "the figures in force are in %s; change it, and name it by --products or lay it into the data folder as %s\n", file, productsFile)
				return err
			}
			if asJSON(cmd) {
				all := []productInfo{}
				for _, q := range p.table {
					all = append(all, p.info(q))
				}
				return a.printJSON(map[string]any{"file": p.file, "products": all})
			}
			return p.print(a)
		},
	}
	cmd.Flags().StringVar(&file, "write", "", "`file` to begin with: the figures in force, to be changed; never over one that is there")
	return cmd
}

// print writes the table for reading, changed lines with a mark and what was changed.
func (p *products) print(a *App) error {
	g := grid{heads: []string{"", "product", "shrinks a F", "lb a gallon", "API", "fill", "source"}, right: []int{2, 3, 4, 5}}
	var aliases, changes []string
	for _, q := range p.table {
		i, mark, api := p.info(q), "", "-"
		if len(i.Changed) > 0 {
			mark = "*"
			changes = append(changes, fmt.Sprintf("  * %s: %s", q.Name, strings.Join(i.Changed, ", ")))
		}
		if i.API != nil {
			api = fmt.Sprintf("%.1f", q.API)
		}
		g.add(mark, q.Name, fmt.Sprintf("%.5f", q.Alpha), fmt.Sprintf("%.2f ± %.2f", q.PerGallon, q.PerU), api, fmt.Sprintf("%.0f %%", 100*q.Fill), q.Source)
		aliases = append(aliases, fmt.Sprintf("  %s: %s", q.Name, strings.Join(q.Names, ", ")))
	}
	if err := g.print(a.Out); err != nil {
		return err
	}
	fmt.Fprintf(a.Out, "\nNAMES, the first that fits is meant\n%s\n", strings.Join(aliases, "\n"))
	if p.file == "" {
		_, err := fmt.Fprintf(a.Out, "\nNo file changes them; %s in the data folder, or --products FILE, would.\n", productsFile)
		return err
	}
	_, err := fmt.Fprintf(a.Out, "\nCHANGED by %s\n%s\n", p.file, strings.Join(changes, "\n"))
	return err
}
