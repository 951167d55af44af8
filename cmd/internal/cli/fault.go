package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/intake"
	"tankside/events/journal"
)

// userError is a fault in what was given: exit code 2.
type userError struct{ error }

// Is makes it what another process is told that asked for what cannot be.
func (e userError) Is(target error) bool { return target == remote.ErrAsked }

// Unwrap returns the fault itself.
func (e userError) Unwrap() error { return e.error }

// usage makes a userError.
func usage(format string, args ...any) error { return userError{fmt.Errorf(format, args...)} }

// errTold is a failure that has been told already, in more than one line.
type errTold struct{ code int }

// Error is empty: there is nothing more to tell.
func (errTold) Error() string { return "" }

// theirs are the errors of other packages that lie in what was given.
var theirs = []error{events.ErrInvalid, intake.ErrTooLarge, journal.ErrNoLog, remote.ErrAsked}

// exitCode is 2 for a fault in what was given and 1 for the rest.
func exitCode(err error) int {
	var told errTold
	if errors.As(err, &told) {
		return told.code
	}
	var user userError
	if errors.As(err, &user) {
		return 2
	}
	for _, e := range theirs {
		if errors.Is(err, e) {
			return 2
		}
	}
	return 1
}

// oneLine is the error on one line.
func oneLine(err error) string {
	if errors.Is(err, context.Canceled) && !errors.Is(err, events.ErrNotSaved) {
		return "stopped"
	}
	return legible(strings.ReplaceAll(err.Error(), "\n", "; "))
}
