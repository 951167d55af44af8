package report

import (
	"reflect"
	"slices"
	"time"

	"tankside/projections"
)

// rewriter copies a value and changes every text, figure and limit in the copy. What
// it copies from is left as it is: the state shares its lists with the incident.
type rewriter struct {
	text   func(string) string       // nil leaves texts alone
	ours   map[reflect.Type][]string // fields whose texts own rewrites instead
	own    func(string) string
	figure func(*projections.Figure)    // nil leaves figures alone
	limit  func(*projections.Threshold) // nil leaves limits alone
}

var timeType = reflect.TypeFor[time.Time]()

// rewritten is a copy of v, rewritten throughout.
func rewritten[T any](w rewriter, v T) T {
	return w.copied(reflect.ValueOf(&v).Elem()).Interface().(T)
}

func (w rewriter) copied(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.String:
		return w.copiedText(v)
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		p := reflect.New(v.Type().Elem())
		p.Elem().Set(w.copied(v.Elem()))
		return p
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		s := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			s.Index(i).Set(w.copied(v.Index(i)))
		}
		return s
	case reflect.Struct:
		return w.copiedStruct(v)
	}
	return v
}

// copiedText rewrites words; a text with a type of its own is a name of ours.
func (w rewriter) copiedText(v reflect.Value) reflect.Value {
	if w.text == nil || v.Type() != reflect.TypeFor[string]() {
		return v
	}
	return reflect.ValueOf(w.text(v.String()))
}

func (w rewriter) copiedStruct(v reflect.Value) reflect.Value {
	s := reflect.New(v.Type()).Elem()
	s.Set(v)
	if v.Type() == timeType {
		return s
	}
	ours := w.ours[v.Type()]
	for i := range v.NumField() {
		field := v.Type().Field(i)
		if !field.IsExported() {
			continue
		}
		of := w
		if slices.Contains(ours, field.Name) {
			of.text = w.own
		}
		s.Field(i).Set(of.copied(v.Field(i)))
	}
	switch p := s.Addr().Interface().(type) {
	case *projections.Figure:
		if w.figure != nil {
			w.figure(p)
		}
	case *projections.Threshold:
		if w.limit != nil {
			w.limit(p)
		}
	}
	return s
}
