package memlog_test

import (
	"testing"

	"tankside/events"
	"tankside/events/logtest"
	"tankside/events/memlog"
)

func TestSuite(t *testing.T) {
	logtest.Suite(t, func(*testing.T) events.Log {
		return memlog.New(logtest.Catalogue(), logtest.Incident, "test", logtest.Clock())
	}, nil)
}
