// Package kinds declares every kind of entry a log may hold, one declaration
// each, one file a family. To add a kind, write its struct, its Kind method and
// its declaration in the file of its family, and put it in the list below.
package kinds

import "tankside/events"

// list is every kind, family by family, in the order of a job.
var list = [][]*events.Type{
	arrivalKinds,
	productKinds,
	commandKinds,
	safetyKinds,
	peopleKinds,
	careKinds,
	airKinds,
	groundKinds,
	leakKinds,
	spillKinds,
	foamKinds,
	drillKinds,
	transferKinds,
	gaugingKinds,
	truckKinds,
	environmentKinds,
	custodyKinds,
	publicKinds,
	resourceKinds,
	recordKinds,
	putRightKinds,
	reviewKinds,
}

// onlyMore is the step to a version that has more fields and none that changed: what
// an older entry does not say stays unsaid.
func onlyMore(raw []byte) ([]byte, error) { return raw, nil }

// Catalogue returns the kinds this program knows.
func Catalogue() *events.Catalogue { return catalogue }

var catalogue = gather()

func gather() *events.Catalogue {
	var all []*events.Type
	for _, family := range list {
		all = append(all, family...)
	}
	c, err := events.NewCatalogue(all...)
	if err != nil {
		panic(err) // a mistake in a declaration: the first test run shows it
	}
	return c
}
