package browser

import (
	"context"
	"fmt"
	"strings"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Type types text key by key into whatever has the focus. A line end is Enter.
func (p *Page) Type(text string) {
	p.t.Helper()
	p.strike(fmt.Sprintf("type %q", text), text, 0)
}

// Put puts text into whatever has the focus at once, as a hand that pastes it would.
func (p *Page) Put(text string) {
	p.t.Helper()
	p.do(fmt.Sprintf("put %q", text), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, input.InsertText, input.InsertTextParams{Text: text})
		return err
	}))
}

// Press presses one key: Enter, Tab, Escape, Up, F9 and the like, or a character, with
// Ctrl-, Alt- or Shift- before it.
func (p *Page) Press(key string) {
	p.t.Helper()
	var mods kb.Modifier
	name := key
	for prefix, mod := range map[string]kb.Modifier{"Ctrl-": kb.ModifierCtrl, "Alt-": kb.ModifierAlt, "Shift-": kb.ModifierShift} {
		if rest, ok := strings.CutPrefix(name, prefix); ok {
			name, mods = rest, mods|mod
		}
	}
	if code, ok := keys[name]; ok {
		name = code
	}
	p.strike("press "+key, name, mods)
}

// keys are the keys that have no character.
var keys = map[string]string{
	"Enter": kb.Enter, "Tab": kb.Tab, "Escape": kb.Escape, "Backspace": kb.Backspace, "Delete": kb.Delete,
	"Up": kb.ArrowUp, "Down": kb.ArrowDown, "Left": kb.ArrowLeft, "Right": kb.ArrowRight, "Home": kb.Home, "End": kb.End,
	"F1": kb.F1, "F2": kb.F2, "F3": kb.F3, "F4": kb.F4, "F5": kb.F5, "F6": kb.F6, "F7": kb.F7, "F8": kb.F8, "F9": kb.F9, "F10": kb.F10,
}

// strike presses and lets go of keys one after another. The character comes with the key
// going down, as from a keyboard: a page that takes the key for something else gets no
// character.
func (p *Page) strike(what, text string, mods kb.Modifier) {
	p.t.Helper()
	p.do(what, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		for _, r := range text {
			for _, k := range strokes(r, mods) {
				if _, err := chromedp.Call(ctx, input.DispatchKeyEvent, k); err != nil {
					return err
				}
			}
		}
		return nil
	}))
}

// strokes are one key going down and up again.
func strokes(r rune, mods kb.Modifier) (out []input.DispatchKeyEventParams) {
	text := ""
	for _, k := range kb.Encode(r) {
		if k.Type == kb.KeyChar {
			text = k.Text
			continue
		}
		k.Modifiers |= int64(mods)
		out = append(out, *k)
	}
	if mods&^kb.ModifierShift == 0 {
		out[0].Text, out[0].UnmodifiedText = text, text
	}
	return out
}
