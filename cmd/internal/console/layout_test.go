package console_test

import (
	"fmt"
	"math"
	"testing"

	"tankside/cmd/internal/browser"
)

// addresses are the pages.
var addresses = []string{"/", "/story", "/product", "/people", "/due", "/far", "/desk", "/desk?at=words", "/desk?at=comments", "/desk?at=sign"}

// isLive is true once the feed has brought the page up to the present.
const isLive = `/^live/.test(document.getElementById("live").textContent)`

// screens are what the pages have to fit: the laptop, the same at 125 %, a phone.
var screens = map[string]browser.Size{"laptop": browser.Laptop, "125 %": browser.Zoomed, "phone": browser.Phone}

// busy is a night with somebody in, a pump running and timers late.
func busy(t testing.TB) *post { return quarryBend(t, "2025-10-14T23:41:20-05:00") }

func TestAccessible(t *testing.T) {
	p := busy(t)
	for name, size := range map[string]browser.Size{"laptop": browser.Laptop, "phone": browser.Phone} {
		page := browser.Open(t, p.URL, size)
		for _, night := range []bool{false, true} {
			for _, at := range addresses {
				page.Go(p.URL + at)
				page.Wait(isLive)
				browser.Eval[bool](page, fmt.Sprintf(`document.documentElement.classList.toggle("night", %v)`, night))
				for _, v := range page.Axe() {
					t.Errorf("%s, %s, night %v: %s (%s): %q", name, at, night, v.Help, v.Impact, v.Where)
				}
			}
		}
		if c := page.Complaints(); len(c) > 0 {
			t.Errorf("%s: the pages complain: %q", name, c)
		}
	}
}

// TestLineAndDueInSight holds the line and the list of what is due inside the window,
// with nothing to scroll for them, at every screen.
func TestLineAndDueInSight(t *testing.T) {
	for _, hour := range []string{"2025-10-14T21:56:20-05:00", "2025-10-14T23:41:20-05:00", "2025-10-15T02:05:20-05:00", "2025-10-15T05:30:20-05:00"} {
		p := quarryBend(t, hour)
		for name, size := range screens {
			page := browser.Open(t, p.URL, size)
			page.Wait(isLive)
			page.Type("r1 meter 33")
			page.Wait(`document.querySelector(".reading")?.dataset.line === "r1 meter 33"`)
			for _, part := range []string{"#line", "#preview", "#latest", ".due h2", "header"} {
				if b := page.Box(part); !within(b, size) {
					t.Errorf("%s, %s: %s lies at %v, outside %d x %d", hour, name, part, b, size.Width, size.Height)
				}
			}
			shown := page.Boxes(".due .timers li")
			if len(shown) == 0 {
				t.Errorf("%s, %s: no timer in sight", hour, name)
			}
			for i, b := range shown {
				if !within(b, size) || b.Y+b.Height > page.Box("main").Y+page.Box("main").Height+1 {
					t.Errorf("%s, %s: timer %d lies at %v, outside the board %v", hour, name, i, b, page.Box("main"))
				}
			}
			if wide := browser.Eval[float64](page, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
				t.Errorf("%s, %s: the page is %v px too wide", hour, name, wide)
			}
		}
	}
}

func within(b browser.Box, s browser.Size) bool {
	return b.X >= -1 && b.Y >= -1 && b.X+b.Width <= float64(s.Width)+1 && b.Y+b.Height <= float64(s.Height)+1
}

// TestFarView holds the six tiles to what can be read from three metres on a 14 inch
// panel: figures of 77 px and more, 7 to 1 against their ground, all in sight, and in
// the same place to the pixel whatever happens.
func TestFarView(t *testing.T) {
	var first []browser.Box
	for _, hour := range []string{"2025-10-14T21:20:20-05:00", "2025-10-14T22:54:20-05:00", "2025-10-14T23:47:20-05:00", "2025-10-15T01:10:20-05:00", "2025-10-15T03:45:20-05:00", "2025-10-15T05:30:20-05:00"} {
		p := quarryBend(t, hour)
		page := browser.Open(t, p.URL+"/far", browser.Laptop)
		page.Wait(isLive)
		tiles := page.Boxes(".tile")
		if len(tiles) != 6 {
			t.Fatalf("%s: %d tiles, want 6", hour, len(tiles))
		}
		for i, b := range tiles {
			if !within(b, browser.Laptop) {
				t.Errorf("%s: tile %d lies at %v, outside the screen", hour, i, b)
			}
			if first != nil && b != first[i] {
				t.Errorf("%s: tile %d moved from %v to %v", hour, i, first[i], b)
			}
		}
		if first == nil {
			first = tiles
		}
		for i, f := range figures(page) {
			if f.Cap < 77 {
				t.Errorf("%s: figure %d is %.1f px high, want 77", hour, i, f.Cap)
			}
			if f.Contrast < 7 {
				t.Errorf("%s: figure %d stands out %.1f to 1, want 7", hour, i, f.Contrast)
			}
			if f.Over > 0 {
				t.Errorf("%s: figure %d %q is %.0f px wider than its tile", hour, i, f.Text, f.Over)
			}
		}
	}
}

// fig is the big figure of a tile.
type fig struct {
	Text     string
	Cap      float64 // height of a capital letter, px
	Contrast float64 // by WCAG 2.2
	Over     float64 // px that do not fit
}

// figures measures the figures of the far view: the height of a capital as the browser
// draws it.
func figures(page *browser.Page) []fig {
	return browser.Eval[[]fig](page, contrastJS+`return [...document.querySelectorAll(".fig")].map(e => {
		const s = getComputedStyle(e), c = document.createElement("canvas").getContext("2d");
		c.font = [s.fontWeight, s.fontSize, s.fontFamily].join(" ");
		return {Text: e.textContent, Cap: c.measureText("H").actualBoundingBoxAscent, Contrast: contrast(e), Over: e.scrollWidth - e.clientWidth};
	}) })()`)
}

// contrastJS begins an expression that has a function for the contrast of an element's text with what lies behind
// it: WCAG 2.2, relative luminance and contrast ratio.
const contrastJS = `(() => {
	const rgb = c => { const m = c.match(/[\d.]+/g).map(Number); return m.length < 4 || m[3] > 0 ? m : null };
	const lum = c => { const [r, g, b] = c.slice(0, 3).map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4); return .2126 * r + .7152 * g + .0722 * b };
	const behind = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor); if (c) return c } return [255, 255, 255] };
	const contrast = e => { const a = lum(rgb(getComputedStyle(e).color)), b = lum(behind(e)); return (Math.max(a, b) + .05) / (Math.min(a, b) + .05) };
`

// TestContrast holds all text to 4.5 to 1 by day and 7 to 1 by night.
func TestContrast(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL, browser.Laptop)
	for _, at := range addresses {
		page.Go(p.URL + at)
		page.Wait(isLive)
		for night, want := range map[bool]float64{false: 4.5, true: 7} {
			browser.Eval[bool](page, fmt.Sprintf(`document.documentElement.classList.toggle("night", %v)`, night))
			for _, f := range browser.Eval[[]fig](page, contrastJS+`return [...document.querySelectorAll("body *")].filter(e => e.checkVisibility() && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
				.map(e => ({Text: e.textContent.slice(0, 40), Contrast: contrast(e)})) })()`) {
				if math.Round(f.Contrast*10)/10 < want {
					t.Errorf("%s, night %v: %q stands out %.2f to 1, want %v", at, night, f.Text, f.Contrast, want)
				}
			}
		}
	}
}

// TestTouch holds what a glove has to hit on a phone to 44 px, the four main buttons to
// 56, with 8 between them.
func TestTouch(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL, browser.Phone)
	page.Wait(isLive)
	page.Type("pair 2 ")
	page.Wait(`document.querySelector(".reading")?.dataset.line === "pair 2 "`)
	for _, selector := range []string{"nav a", "button", "input:not([type=range])"} {
		for _, b := range page.Boxes(selector) {
			if b.Height < 44 || b.Width < 38 {
				t.Errorf("%s at %v is smaller than 44 px", selector, b)
			}
		}
	}
	keys := page.Boxes("#keys button")
	if len(keys) != 4 {
		t.Fatalf("%d main buttons, want 4", len(keys))
	}
	for i, b := range keys {
		if b.Height < 56 {
			t.Errorf("main button %d is %v px high, want 56", i, b.Height)
		}
		if i > 0 && b.X-keys[i-1].X-keys[i-1].Width < 8 {
			t.Errorf("main buttons %d and %d lie closer than 8 px", i-1, i)
		}
	}
}

// TestOnlyAlarmsSpeak holds the regions that a screen reader speaks of itself to what
// cannot wait, and the question that is asked on the line.
func TestOnlyAlarmsSpeak(t *testing.T) {
	p := quarryBend(t, "2025-10-14T23:47:20-05:00")
	page := browser.Open(t, p.URL, browser.Laptop)
	page.Wait(isLive)
	live := browser.Eval[[]string](page, `[...document.querySelectorAll("[aria-live], [role=alert], [role=status], [role=log]")].map(e => e.id)`)
	if len(live) != 1 || live[0] != "alarms" {
		t.Errorf("regions that speak: %q, want alarms alone", live)
	}
	if said := page.Text("#alarms"); said == "" {
		t.Error("work is stopped and nothing is said of it")
	}
}
