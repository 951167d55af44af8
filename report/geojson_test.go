package report

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// fixedAt is an entry that fixes a place.
func fixedAt(min int, place string, lat, lon float64) events.Draft {
	return said(min, place, "", kinds.PlaceFixed{Lat: quantity.Of(quantity.Degrees(lat)), Lon: quantity.Of(quantity.Degrees(lon))})
}

func cornerAt(min, n int, lat, lon float64) events.Draft {
	d := fixedAt(min, "hot zone corner", lat, lon)
	k := d.Payload.(kinds.PlaceFixed)
	k.CornerOf, k.Corner = "hot zone", quantity.Of(quantity.Count(n))
	d.Payload, d.Where = k, d.Where+" "+string(rune('0'+n))
	return d
}

// mapped reads a collection by a library from outside, which refuses what RFC 7946 does
// not allow, and holds it to the rest of the RFC.
func mapped(t rapid.TB, data []byte) geom.GeoJSONFeatureCollection {
	t.Helper()
	var fc geom.GeoJSONFeatureCollection
	if err := json.Unmarshal(data, &fc); err != nil {
		t.Fatalf("a reader from outside: %v\n%.500s", err, data)
	}
	var top map[string]json.RawMessage
	if err := json.Unmarshal(data, &top); err != nil || len(top) != 2 {
		t.Fatalf("members %v, want type and features and no crs: %v", top, err)
	}
	ids := map[any]bool{}
	for _, f := range fc {
		if err := f.Geometry.Validate(); err != nil {
			t.Errorf("%v: %v", f.ID, err)
		}
		if poly, ok := f.Geometry.AsPolygon(); ok && !poly.IsCCW() {
			t.Errorf("%v goes round clockwise", f.ID)
		}
		if ids[f.ID] {
			t.Errorf("id %v stands twice", f.ID)
		}
		ids[f.ID] = true
	}
	return fc
}

// TestGeoJSON puts places, what happened there and a zone on a map.
func TestGeoJSON(t *testing.T) {
	d := as(t, sealed(t, []events.Draft{
		fixedAt(0, "Command post", 40.1234, -82.4567),
		said(1, "command post", "we have command", kinds.CommandTaken{Role: "IC"}),
		said(2, "Staging", "", kinds.Note{Text: "nowhere known"}),
		cornerAt(3, 1, 40, -82), cornerAt(4, 2, 40.1, -82), cornerAt(5, 3, 40.1, -82.1), cornerAt(6, 4, 40, -82.1),
		fixedAt(60, "Command post", 40.2, -82.5),
		said(61, "Command post", "", kinds.Note{Text: "moved <b>now</b>"}),
	}), Options{})
	data, err := GeoJSON(d)
	if err != nil {
		t.Fatal(err)
	}
	fc := mapped(t, data)
	at := map[string]geom.Geometry{}
	for _, f := range fc {
		at[f.ID.(string)] = f.Geometry
	}
	for id, want := range map[string]string{
		"place-1": "POINT(-82.4567 40.1234)", "e2": "POINT(-82.4567 40.1234)", "e9": "POINT(-82.5 40.2)",
		"zone-hot-zone": "POLYGON((-82 40,-82 40.1,-82.1 40.1,-82.1 40,-82 40))",
	} {
		g, ok := at[id]
		if !ok || g.AsText() != want {
			t.Errorf("%s: got %v, want %s", id, g.AsText(), want)
		}
	}
	if len(fc) != 9 { // two fixes of the post, four corners, the zone, two entries
		t.Errorf("%d features, want 9", len(fc))
	}
	for _, want := range []string{`"words": "we have command"`, `"happened": "`, `"kind": "command_taken"`} {
		if !strings.Contains(string(data), want) {
			t.Errorf("the map lacks %s", want)
		}
	}
}

// TestGeoJSONWithoutPlaces says how to add one.
func TestGeoJSONWithoutPlaces(t *testing.T) {
	_, err := GeoJSON(as(t, incident(t, "quarry-bend.csv", "Quarry Bend"), Options{}))
	if !errors.Is(err, ErrNoPlaces) || !strings.Contains(err.Error(), "place_fixed") {
		t.Errorf("got %v, want a line that says how to add coordinates", err)
	}
}

// TestGeoJSONAnyCorners: whatever corners are recorded, what is written is valid.
func TestGeoJSONAnyCorners(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var log []events.Draft
		for i := range rapid.IntRange(1, 7).Draw(r, "corners") {
			lat, lon := rapid.Float64Range(-0.001, 0.001).Draw(r, "lat"), rapid.Float64Range(-0.001, 0.001).Draw(r, "lon")
			log = append(log, cornerAt(i, 1+i, 40+lat, -82+lon))
		}
		data, err := GeoJSON(as(t, sealed(t, log), Options{}))
		if err != nil {
			r.Fatal(err)
		}
		mapped(r, data)
	})
}

// TestGeoJSONHostile: awkward words stay words, and the public edition holds none.
func TestGeoJSONHostile(t *testing.T) {
	for _, s := range nasty {
		s = strings.ToValidUTF8(s, "?")
		log := sealed(t, []events.Draft{fixedAt(0, "A", 40, -82), said(1, "A", s, kinds.Note{Text: s})})
		for _, e := range []Edition{Full, Public} {
			data, err := GeoJSON(as(t, log, Options{Edition: e}))
			if err != nil {
				t.Fatal(err)
			}
			mapped(t, data)
			if strings.ContainsAny(string(data), "\x00\u202e") {
				t.Errorf("%q: a hidden character stands in the map", s)
			}
			if e == Public && strings.Contains(string(data), `"words"`) {
				t.Errorf("%q: the public map holds somebody's own words", s)
			}
		}
	}
}
