package cli

import "fmt"

// progress is a line on the terminal that is overwritten as work goes on. Where
// Err is no terminal it draws nothing: a file of log lines is no place for it.
type progress struct {
	app  *App
	what string
	all  int
	on   bool
}

func (a *App) progress(what string, all int) *progress {
	p := &progress{app: a, what: what, all: all, on: a.Terminal && all > 0}
	p.at(0)
	return p
}

// at draws that n of all are done.
func (p *progress) at(n int) {
	if p.on {
		const width = 30
		done := width * n / p.all
		fmt.Fprintf(p.app.Err, "\r%s %s %d of %d", p.what, bar(done, width), n, p.all)
	}
}

func bar(done, width int) string {
	out := make([]byte, width)
	for i := range out {
		out[i] = '.'
		if i < done {
			out[i] = '#'
		}
	}
	return string(out)
}

// end takes the line away.
func (p *progress) end() {
	if p.on {
		fmt.Fprint(p.app.Err, "\r\x1b[K")
	}
}
