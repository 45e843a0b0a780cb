// Package page holds what every page of HTML that this program writes keeps to.
package page

import (
	"crypto/sha256"
	"encoding/base64"
)

// Policy is a Content Security Policy (level 3) under which a page runs its own
// style and script, known by their hashes, shows pictures that are in it, and
// nothing else: it reaches no network. An empty script lets none run.
func Policy(style, script string) string {
	policy := "default-src 'none'; img-src data:; style-src " + hashOf(style)
	if script != "" {
		policy += "; script-src " + hashOf(script)
	}
	return policy + "; base-uri 'none'; form-action 'none'"
}

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
