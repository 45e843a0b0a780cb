package stash

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"reflect"
	"sync"
)

// FoldName names what events are folded into: the version of the rules, and the
// shape of the facts and the views. A stash whose views were made under another name
// is folded anew when it is opened, so that a fact which is new, or was kept unread,
// shows everywhere; nobody has to remember it.
var FoldName = sync.OnceValue(func() string {
	h := sha256.New()
	for _, view := range []any{Yarn{}, Package{}, Project{}, Piece{}, Person{}, Settings{},
		Photo{}} {
		writeShape(reflect.TypeOf(view), map[reflect.Type]bool{},
			func(s string) { _, _ = h.Write([]byte(s)) })
	}
	for _, what := range []What{WhatYarn, WhatPackage, WhatProject, WhatPerson, WhatSettings} {
		for _, f := range FieldsOf(what) {
			fmt.Fprintln(h, what, f.Name)
		}
	}
	return foldVersion + "-" + hex.EncodeToString(h.Sum(nil)[:6])
})

// writeShape spells out a type as JSON has it; a type that writes itself by its name.
func writeShape(t reflect.Type, within map[reflect.Type]bool, write func(string)) {
	if within[t] || reflect.PointerTo(t).Implements(reflect.TypeFor[json.Marshaler]()) {
		write(t.String())
		return
	}
	within[t] = true
	defer delete(within, t)
	write(t.Kind().String() + " ")
	switch t.Kind() {
	case reflect.Map:
		writeShape(t.Key(), within, write)
		writeShape(t.Elem(), within, write)
	case reflect.Pointer, reflect.Slice, reflect.Array:
		writeShape(t.Elem(), within, write)
	case reflect.Struct:
		for i := range t.NumField() {
			if f := t.Field(i); f.IsExported() {
				write(f.Name + " " + f.Tag.Get("json") + " ")
				writeShape(f.Type, within, write)
			}
		}
	}
}
