// Package browser lets tests type into the real pages in a real Chromium, and see what
// a person in front of it sees. There is one browser for a test binary and a profile of
// its own for each page, so that tests share nothing but the process. Nothing waits by
// the clock: a test waits for what has to come to pass.
package browser

import (
	"context"
	"crypto/sha256"
	_ "embed" // of axe
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// limit ends a wait for what does not come: it is no measure of how fast a page is.
const limit = 30 * time.Second

// Required names the variable by which a gate says that a missing browser is a fault
// and no reason to skip.
const Required = "TANKSIDE_BROWSER"

// names are the programs to look for, Debian's first.
var names = []string{
	"chromium", "chromium-browser", "google-chrome-stable", "google-chrome",
	"/Applications/Chromium.app/Contents/MacOS/Chromium", "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
}

//go:embed axe/axe.min.js
var axe string

// axeSum returns the SHA-256 sum of the accessibility checks that are built in.
func axeSum() string {
	sum := sha256.Sum256([]byte(axe))
	return hex.EncodeToString(sum[:])
}

// find returns the path of a Chromium, "" when there is none.
func find() string {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// running is the browser of this test binary.
var running struct {
	sync.Mutex
	ctx  context.Context
	quit func()
}

// Run runs the tests of a package and then ends the browser, if one was started. It
// returns the exit code, for TestMain.
func Run(m *testing.M) int {
	defer func() {
		running.Lock()
		defer running.Unlock()
		if running.quit != nil {
			running.quit()
		}
	}()
	return m.Run()
}

// start starts the browser, or gives the one that runs.
func start(t testing.TB) context.Context {
	t.Helper()
	running.Lock()
	defer running.Unlock()
	if running.ctx != nil {
		return running.ctx
	}
	path := find()
	switch {
	case path == "" && os.Getenv(Required) != "":
		t.Fatalf("no Chromium on this machine, and %s asks for one: apt-get install chromium", Required)
	case path == "":
		t.Skip("no Chromium on this machine: the pages are NOT tested; install it (Debian: apt-get install chromium) and run this again")
	}
	profile, err := os.MkdirTemp("", "tankside-browser-")
	if err != nil {
		t.Fatal(err)
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(), options(path, profile)...)
	ctx, end := chromedp.NewContext(alloc)
	running.quit = func() {
		_ = chromedp.Cancel(ctx) // closes the browser and waits for it; one that has died is gone too
		end()
		stop()
		os.RemoveAll(profile)
	}
	if err := chromedp.Do(ctx); err != nil {
		running.quit()
		running.quit = nil
		t.Fatalf("%s does not start: %v", path, err)
	}
	running.ctx = ctx
	return ctx
}

// options are what the browser is started with: asking nobody anything, drawing
// without a graphics card, and at full speed in pages that lie behind others.
func options(path, profile string) []chromedp.ExecAllocatorOption {
	out := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.DisableGPU)
	for _, flag := range []string{"disable-quic", "disable-component-update", "disable-domain-reliability", "no-pings", "hide-scrollbars"} {
		out = append(out, chromedp.Flag(flag, true))
	}
	if os.Getuid() == 0 {
		out = append(out, chromedp.NoSandbox) // Chromium refuses its sandbox to root
	}
	return out
}

// Size is a screen.
type Size struct {
	Width, Height int     // CSS px
	Scale         float64 // device pixels to a CSS pixel; 0 means 1
	Phone         bool    // with touch
}

// The screens that the pages are made for.
var (
	Laptop = Size{Width: 1366, Height: 768}
	Zoomed = Size{Width: 1093, Height: 614, Scale: 1.25} // the laptop at 125 %
	Phone  = Size{Width: 360, Height: 640, Scale: 3, Phone: true}
)

// Open opens an address in a profile of its own and returns the page when it has loaded.
// The page is closed with the test. Without a browser the test is skipped.
func Open(t testing.TB, url string, size Size) *Page {
	t.Helper()
	return window(t, url, size, start(t), chromedp.WithNewBrowserContext())
}

// Beside opens an address in another window of the profile of a page.
func (p *Page) Beside(url string, size Size) *Page {
	p.t.Helper()
	return window(p.t, url, size, p.ctx)
}

func window(t testing.TB, url string, size Size, of context.Context, opts ...chromedp.ContextOption) *Page {
	t.Helper()
	ctx, cancel := chromedp.NewContext(of, opts...)
	p := &Page{t: t, ctx: ctx}
	t.Cleanup(func() {
		if t.Failed() {
			p.picture()
		}
		cancel()
		p.heard.Wait()
	})
	p.listen()
	p.Resize(size)
	p.Go(url)
	return p
}

// picture leaves a picture of the page of a failed test where it can be looked at.
func (p *Page) picture() {
	dir := os.Getenv("TANKSIDE_PICTURES")
	if dir == "" {
		return
	}
	f, err := os.CreateTemp(dir, "failed-*.png")
	if err != nil {
		p.t.Log(err)
		return
	}
	defer f.Close()
	ctx, cancel := context.WithTimeout(p.ctx, 10*time.Second)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err == nil {
		_, err = f.Write(png)
	}
	p.t.Log(fmt.Sprintf("%s: the page of the failed test", f.Name()), err)
}
