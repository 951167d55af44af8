package browser

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// Page is a page that a test looks at. What cannot be done fails the test.
type Page struct {
	t   testing.TB
	ctx context.Context

	heard      sync.WaitGroup
	mu         sync.Mutex
	complaints []string // each once
}

// listen gathers what the page complains about.
func (p *Page) listen() {
	messages := chromedp.Console(p.ctx)
	p.heard.Go(func() {
		for m, err := range messages {
			if err != nil {
				return // the page is closed
			}
			if m.IsException() || m.Type == "error" || m.Type == "warning" {
				p.complain(m.String())
			}
		}
	})
}

func (p *Page) complain(text string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !slices.Contains(p.complaints, text) {
		p.complaints = append(p.complaints, text)
	}
}

// Complaints returns the errors and warnings of the page so far: uncaught exceptions,
// refusals by its own content policy, files that are not there. Each is there once.
func (p *Page) Complaints() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.complaints)
}

// do runs steps within the limit of a wait.
func (p *Page) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatalf("%s: %v", what, err)
	}
}

// Go goes to an address and returns when it has loaded.
func (p *Page) Go(url string) {
	p.t.Helper()
	p.do("go to "+url, chromedp.Navigate(url))
}

// Reload loads the page again, as after F5.
func (p *Page) Reload() {
	p.t.Helper()
	p.do("reload", chromedp.Reload())
}

// Resize puts the page on another screen.
func (p *Page) Resize(s Size) {
	p.t.Helper()
	scale := s.Scale
	if scale == 0 {
		scale = 1
	}
	opts := []chromedp.EmulateViewportOption{chromedp.EmulateScale(scale)}
	if s.Phone {
		opts = append(opts, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	p.do("resize", chromedp.EmulateViewport(int64(s.Width), int64(s.Height), opts...))
}

// Eval returns what an expression of JavaScript gives in a page, a promise awaited.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("%.200s: %v", expression, err)
	}
	return v
}

// Wait waits until an expression of JavaScript, a promise awaited, is true. The page may be loaded anew
// meanwhile; an expression that fails is not true yet.
func (p *Page) Wait(expression string) {
	p.t.Helper()
	if err := p.await(expression); err != nil {
		p.t.Fatalf("waited for %s: %v; the page complained of %q and shows\n%.3000s", expression, err, p.Complaints(), p.text())
	}
}

func (p *Page) await(expression string) error {
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	watch := `new Promise(done => { const look = async () => { try { if (await (` + expression + `)) return done(true) } catch {} setTimeout(look, 5) }; look() })`
	for {
		_, err := chromedp.Run(ctx, chromedp.Evaluate[bool](watch, chromedp.EvalAwaitPromise))
		if err == nil || ctx.Err() != nil {
			return errors.Join(err, ctx.Err())
		}
	}
}

// text is what the page shows, for the words of a failure.
func (p *Page) text() string {
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body.innerText`))
	if err != nil {
		return err.Error()
	}
	return text
}

// Text is the text of the first element of a selector, as shown.
func (p *Page) Text(selector string) string {
	p.t.Helper()
	return Eval[string](p, `document.querySelector(`+quote(selector)+`).innerText`)
}

// Box is where an element lies, in CSS px from the upper left corner of the window.
type Box struct{ X, Y, Width, Height float64 }

// Box returns where the first element of a selector lies.
func (p *Page) Box(selector string) Box {
	p.t.Helper()
	boxes := p.Boxes(selector)
	if len(boxes) == 0 {
		p.t.Fatalf("no element %s on the page", selector)
	}
	return boxes[0]
}

// Boxes returns where the elements of a selector lie that are shown.
func (p *Page) Boxes(selector string) []Box {
	p.t.Helper()
	return Eval[[]Box](p, `[...document.querySelectorAll(`+quote(selector)+`)].filter(e => e.checkVisibility())
		.map(e => e.getBoundingClientRect()).map(r => ({X: r.x, Y: r.y, Width: r.width, Height: r.height}))`)
}

// Style returns a computed property of the first element of a selector.
func (p *Page) Style(selector, property string) string {
	p.t.Helper()
	return Eval[string](p, `getComputedStyle(document.querySelector(`+quote(selector)+`)).getPropertyValue(`+quote(property)+`)`)
}

// Offline takes the network away from the page, or gives it back.
func (p *Page) Offline(off bool) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	how := network.Conditions{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}
	_, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule,
		network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{&how}})
	if err == nil {
		_, err = chromedp.Call(ctx, network.OverrideNetworkState,
			network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1})
	}
	if err != nil {
		p.t.Fatalf("offline %v: %v", off, err)
	}
}

// Violation is something that keeps people from using the page.
type Violation struct {
	Rule   string
	Help   string
	Impact string
	Where  []string // selectors and what is wrong there
}

// Axe checks the page for accessibility with every rule of WCAG 2.2 A and AA and of
// good practice, and returns what it finds.
func (p *Page) Axe() []Violation {
	p.t.Helper()
	if !Eval[bool](p, `typeof axe === "object"`) {
		Eval[bool](p, axe+";true")
	}
	return Eval[[]Violation](p, `axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => ({
		Rule: v.id, Help: v.help, Impact: v.impact || "",
		Where: v.nodes.map(n => n.target.join(" ") + ": " + n.failureSummary)})))`)
}

// Screenshot returns a picture of the window, a PNG.
func (p *Page) Screenshot() []byte {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Fatal(err)
	}
	return png
}

// quote writes text as a string of JavaScript.
func quote(text string) string {
	b, _ := json.Marshal(text) // a string always can be
	return string(b)
}
