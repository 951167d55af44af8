package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"tankside/templates"
)

// toPage turns our Markdown into HTML. Raw HTML stays off, addresses in the words
// of the log stay words, and cells are aligned without a style, since the policy of
// the page allows no style but its own sheet.
var toPage = goldmark.New(
	goldmark.WithExtensions(
		extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute)),
		extension.Strikethrough,
	),
	goldmark.WithParserOptions(
		parser.WithAutoHeadingID(),
		parser.WithASTTransformers(util.Prioritized(entries{}, 500)),
	),
	goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(frames{}, 100))),
)

var (
	page  = template.Must(template.ParseFS(templates.Report, "report/page.html"))
	sheet = mustRead("report/page.css")
	// policy lets the page do nothing but show itself in its own style.
	policy = fmt.Sprintf("default-src 'none'; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'", sum(sheet))
)

// aligned puts a class of our sheet where the renderer can only write an attribute that
// HTML has given up. No text of the log can look like it: its brackets are escaped.
var aligned = strings.NewReplacer(`<th align="right">`, `<th class="right">`, `<td align="right">`, `<td class="right">`)

func mustRead(name string) string {
	b, err := templates.Report.ReadFile(name)
	if err != nil {
		panic(err) // the files are built in: a missing one is a mistake of the build
	}
	return string(b)
}

func sum(s string) string {
	h := sha256.Sum256([]byte(s))
	return base64.StdEncoding.EncodeToString(h[:])
}

// chapter is an entry of the table of contents.
type chapter struct{ ID, Title string }

// HTML writes the report as one page that needs nothing else: no script, no
// network, its style inside. It is the Markdown of the report, set in HTML.
func HTML(w io.Writer, d Document) error {
	var md, body bytes.Buffer
	if err := d.Markdown(&md); err != nil {
		return err
	}
	doc := toPage.Parser().Parse(text.NewReader(md.Bytes()))
	hang(doc, md.Bytes(), d.pictures())
	if err := toPage.Renderer().Render(&body, md.Bytes(), doc); err != nil {
		return fmt.Errorf("report: set as HTML: %w", err)
	}
	may := policy
	if d.showsPhotos() {
		may += "; img-src data:"
	}
	err := page.Execute(w, map[string]any{
		"Title": d.State.Incident, "Policy": may, "Style": template.CSS(sheet),
		"Chapters": chapters(doc, md.Bytes()), "Body": template.HTML(unparted([]byte(aligned.Replace(body.String())))),
	})
	if err != nil {
		return fmt.Errorf("report: write page: %w", err)
	}
	return nil
}

// chapters lists the headings that a reader looks for. Their words are ours.
func chapters(doc ast.Node, source []byte) (out []chapter) {
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		h, ok := n.(*ast.Heading)
		if !ok || h.Level != 2 {
			continue
		}
		id, _ := h.AttributeString("id")
		out = append(out, chapter{string(id.([]byte)), string(h.Lines().Value(source))})
	}
	return out
}

// entries is the transformer that puts each entry of the timeline, from its
// heading to the next, into a frame of its own.
type entries struct{}

// entryLevel is the level of the headings that name entries and lists of entries.
const entryLevel = 4

// Transform frames the entries.
func (entries) Transform(doc *ast.Document, _ text.Reader, _ parser.Context) {
	var open *frame
	for n := doc.FirstChild(); n != nil; {
		next := n.NextSibling()
		if h, ok := n.(*ast.Heading); ok {
			open = nil
			if h.Level == entryLevel {
				open = &frame{}
				doc.InsertBefore(doc, n, open)
			}
		}
		if open != nil {
			open.AppendChild(open, n)
		}
		n = next
	}
}

// frame holds one entry.
type frame struct{ ast.BaseBlock }

var kindFrame = ast.NewNodeKind("Entry")

// Kind names the node.
func (*frame) Kind() ast.NodeKind { return kindFrame }

// Dump prints the node for whoever looks for a fault.
func (f *frame) Dump(source []byte, level int) { ast.DumpHelper(f, source, level, nil, nil) }

// frames renders entries and pictures, and gives each table a frame in which it can be pushed
// sideways on a narrow screen while the page stays put.
type frames struct{}

// RegisterFuncs takes over these kinds of node.
func (frames) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(kindPicture, drawPicture)
	r.Register(kindFrame, between("<article>\n", "</article>\n"))
	r.Register(extast.KindTable, between("<div class=\"wide\" tabindex=\"0\">\n<table>\n", "</table>\n</div>\n"))
}

func between(before, after string) renderer.NodeRendererFunc {
	return func(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
		s := after
		if entering {
			s = before
		}
		_, err := w.WriteString(s)
		return ast.WalkContinue, err
	}
}
