package console_test

import (
	"testing"

	"tankside/cmd/internal/browser"
)

// firstPage leaves of a report what stands before the break to its second page.
const firstPage = `(() => {
	const second = document.querySelector('h2[id^="2-"]')
	while (second.nextSibling) second.nextSibling.remove()
	second.remove()
	return true
})()`

// smallText is the smallest letter of the first page, in points, marks of entries left out.
const smallText = `Math.min(...[...document.querySelectorAll("main :is(p, li, td, th, h1, h2)")].map(e => parseFloat(getComputedStyle(e).fontSize))) * 0.75`

// cutTables are the tables that are broader than the paper.
const cutTables = `[...document.querySelectorAll(".wide")].filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.innerText.slice(0, 60))`

// TestFirstPageIsOnePage prints what stands before the break of each demonstration's
// report: it is one sheet, of either paper, and no letter of it is below 9 pt. One that is
// longer is seen to be.
func TestFirstPageIsOnePage(t *testing.T) {
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		page := browser.Open(t, "file://"+reportOf(t, name), browser.Laptop)
		all := page.Sheets("Letter")
		browser.Eval[bool](page, firstPage)
		for paper := range browser.Papers {
			if n := page.Sheets(paper); n != 1 {
				t.Errorf("%s: the first page takes %d sheets of %s, want 1", name, n, paper)
			}
		}
		browser.Eval[any](page, `document.querySelector("main").insertAdjacentHTML("beforeend", "<p>one more</p>".repeat(60))`)
		if n := page.Sheets("Letter"); n < 2 || n >= all {
			t.Errorf("%s: with sixty lines more it takes %d sheets, want more than one and fewer than all %d", name, n, all)
		}
		page.Print(true)
		if pt := browser.Eval[float64](page, smallText); pt < 8.99 {
			t.Errorf("%s: letters of the first page are %.2f pt high, want 9 at least", name, pt)
		}
	}
}

// TestNoTableIsCutOnPaper holds every table of both reports to the breadth between the
// margins of A4, the narrower paper; one that is broader is seen to be.
func TestNoTableIsCutOnPaper(t *testing.T) {
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		page := browser.Open(t, "file://"+reportOf(t, name), browser.Laptop)
		page.Print(true)
		page.Resize(browser.Size{Width: 695, Height: 1000})
		for _, table := range browser.Eval[[]string](page, cutTables) {
			t.Errorf("%s: the table %q is cut off on paper", name, table)
		}
		browser.Eval[any](page, `document.querySelector(".wide td").innerHTML = "&nbsp;wide".repeat(100)`)
		if len(browser.Eval[[]string](page, cutTables)) == 0 {
			t.Errorf("%s: a table that is too broad is not seen", name)
		}
	}
}
