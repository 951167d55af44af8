package browser

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
)

func TestMain(m *testing.M) { os.Exit(Run(m)) }

// serve serves one page, with the strict policy that ours have.
func serve(t *testing.T, body string) string {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'self'; style-src 'self'")
		switch r.URL.Path {
		case "/":
			fmt.Fprint(w, `<!doctype html><html lang="en"><title>A page</title><meta name="viewport" content="width=device-width"><link rel="stylesheet" href="/style.css"><script src="/script.js" defer></script><main><h1>A page</h1>`+body+`</main>`)
		case "/style.css":
			w.Header().Set("Content-Type", "text/css")
			fmt.Fprint(w, `body{margin:0} #wide{width:100vw;height:20px;color:rgb(1,2,3)} #hidden{display:none} #cap{position:fixed;bottom:0;height:40px}`)
		case "/script.js":
			w.Header().Set("Content-Type", "text/javascript")
			fmt.Fprint(w, `document.addEventListener("keydown", e => { if (e.key === "!") e.preventDefault() }); window.typed = []; document.addEventListener("keydown", e => typed.push((e.ctrlKey ? "Ctrl-" : "") + e.key))`)
		default:
			http.NotFound(w, r)
		}
	}))
	t.Cleanup(s.Close)
	return s.URL
}

// TestHarness holds the harness itself to what it says of a page whose answers are known.
func TestHarness(t *testing.T) {
	url := serve(t, `<label>Line <input id="line" autofocus></label><div id="wide">wide</div><p id="hidden">not seen</p><p id="cap">cap</p>`)
	p := Open(t, url, Laptop)
	p.Wait(`window.typed !== undefined && document.activeElement.id === "line"`)
	p.Type("bond r2 .7!\n") // the page takes ! for a command
	p.Press("Ctrl-a")
	p.Press("F9")
	if got, want := Eval[string](p, `document.querySelector("#line").value`), "bond r2 .7"; got != want {
		t.Errorf("typed %q, the line has %q", want, got)
	}
	if got, want := Eval[[]string](p, `typed.filter(k => k.length > 1)`), []string{"Enter", "Ctrl-a", "F9"}; !slices.Equal(got, want) {
		t.Errorf("the page heard the keys %q, want %q", got, want)
	}
	for size, width := range map[Size]float64{Laptop: 1366, Zoomed: 1093, Phone: 360} {
		p.Resize(size)
		p.Wait(fmt.Sprintf("innerWidth === %v", width))
		cap := p.Box("#cap")
		if got := p.Box("#wide").Width; got != width || cap.Y+cap.Height > float64(size.Height) {
			t.Errorf("on %+v the element over the whole width has %v px, and the one at the bottom lies at %+v", size, got, cap)
		}
	}
	if got := len(p.Boxes("#hidden")); got != 0 {
		t.Errorf("%d boxes of what is not shown", got)
	}
	if got := p.Style("#wide", "color"); got != "rgb(1, 2, 3)" {
		t.Errorf("the colour is %s", got)
	}
	p.Offline(true)
	if Eval[bool](p, `fetch("/").then(() => true, () => false)`) || Eval[bool](p, `navigator.onLine`) {
		t.Error("the page reaches its server although it is offline")
	}
	p.Offline(false)
	if !Eval[bool](p, `fetch("/").then(() => true, () => false)`) {
		t.Error("the page does not reach its server again")
	}
	if png := p.Screenshot(); !strings.HasPrefix(string(png), "\x89PNG") {
		t.Errorf("the picture begins with %q", png[:min(8, len(png))])
	}
}

// TestComplaintsAndAxe plants a fault of each sort: a check that has gone blind fails.
func TestComplaintsAndAxe(t *testing.T) {
	clean := Open(t, serve(t, `<p>All well.</p>`), Laptop)
	if got := clean.Axe(); len(got) != 0 {
		t.Errorf("axe finds %+v in a clean page", got)
	}
	p := Open(t, serve(t, `<img src="/none.png"><p style="color:#aaa">inline</p><button></button>`), Laptop)
	var rules []string
	for _, v := range p.Axe() {
		rules = append(rules, v.Rule)
		if len(v.Where) == 0 || v.Help == "" {
			t.Errorf("%s does not say where: %+v", v.Rule, v)
		}
	}
	if !slices.Contains(rules, "image-alt") || !slices.Contains(rules, "button-name") {
		t.Errorf("axe finds %q, want image-alt and button-name among them", rules)
	}
	all := strings.Join(p.Complaints(), "\n")
	for _, want := range []string{"404", "Content Security Policy"} {
		if !strings.Contains(all, want) {
			t.Errorf("the page complains of %q, want %q among it", all, want)
		}
	}
}

// TestProfilesAreApart: what one page keeps, another does not have.
func TestProfilesAreApart(t *testing.T) {
	url := serve(t, "")
	Eval[bool](Open(t, url, Laptop), `(localStorage.setItem("draft", "x"), true)`)
	if got := Eval[bool](Open(t, url, Laptop), `localStorage.getItem("draft") === null`); !got {
		t.Error("the second page has the first one's draft")
	}
}

// TestAxeIsWhatItSays compares the file with the sum beside it.
func TestAxeIsWhatItSays(t *testing.T) {
	text, err := os.ReadFile("axe/README.md")
	if err != nil || !strings.Contains(string(text), axeSum()) {
		t.Errorf("axe/README.md does not name the sum %s (%v)", axeSum(), err)
	}
}
