package browser

import (
	"bytes"
	"context"
	"regexp"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Papers are the sheets that reports are printed on, by name.
var Papers = map[string]chromedp.PaperSize{"Letter": chromedp.PaperLetter, "A4": chromedp.PaperA4}

// sheet is the object of a page in the PDF that Chromium writes, in which it stands as
// plain text.
var sheet = regexp.MustCompile(`/Type\s*/Page\b`)

// Sheets prints the page and returns how many sheets of a paper it takes.
func (p *Page) Sheets(paper string) int {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(Papers[paper])))
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF")) {
		p.t.Fatalf("print on %s: %v", paper, err)
	}
	n := len(sheet.FindAll(pdf, -1))
	if n == 0 {
		p.t.Fatal("no sheet is found in the PDF")
	}
	return n
}

// Print shows the page as it goes on paper, or as on the screen again.
func (p *Page) Print(on bool) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	media := map[bool]string{true: "print"}[on]
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media}); err != nil {
		p.t.Fatalf("show as printed %v: %v", on, err)
	}
}
