// Package page holds what every page of HTML that this program writes keeps to.
package page

import (
	"crypto/sha256"
	"encoding/base64"
)

// Head begins every page, as text for html/template, whose data has Policy, Title and
// Style. The head is still open after it.
const Head = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>{{.Style}}</style>
`

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
