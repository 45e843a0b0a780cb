package main

import (
	"context"
	"encoding/json"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"endsmeet/stash/outside"
)

// wicked are texts that would be more than text on a page that took them as they
// are: elements, ends of attributes, scripts, style, drawings, templates.
var wicked = []string{
	`<script>document.title="owned"</script>`, `"><img src=x onerror=alert(1)>`,
	`</style></svg></title><b onclick=a>`, `javascript:alert(1)`,
	`#fff;background:url(http://x.invalid)`, `{{.Script}}`, "\u202Etfel", `x--><!--`,
	`&lt;b&gt;&amp;`, "${alert(1)}`",
}

// chromium runs the browser on a file with a profile of its own.
func chromium(t *testing.T, file string, flags ...string) string {
	t.Helper()
	path := outside.Program(t, "chromium")
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	base := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic",
		"--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--virtual-time-budget=20000",
		"--user-data-dir=" + t.TempDir()}
	cmd := exec.CommandContext(ctx, path, append(append(base, flags...), "file://"+file)...)
	cmd.WaitDelay = 5 * time.Second
	var errs strings.Builder
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, errs.String())
	}
	return string(out)
}

// probe runs a script of the test in a page and gives what it says. The page's
// policy, which would not let it run, is taken off the copy that is probed.
func probe(t *testing.T, page, script string, into any) {
	t.Helper()
	raw, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	policy := regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`)
	if !policy.Match(raw) {
		t.Error("the page has no policy of what it may load")
	}
	text := strings.Replace(policy.ReplaceAllString(string(raw), ""), "</body>",
		"<script>"+script+"</script></body>", 1)
	copied := filepath.Join(t.TempDir(), "probed.html")
	if err := os.WriteFile(copied, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	dom := chromium(t, copied, "--dump-dom", "--window-size=1280,900")
	said := regexp.MustCompile(`(?s)<pre id="said">(.*?)</pre>`).FindStringSubmatch(dom)
	if said == nil {
		t.Fatal("the page said nothing")
	}
	if err := json.Unmarshal([]byte(html.UnescapeString(said[1])), into); err != nil {
		t.Fatalf("%v: %s", err, said[1])
	}
}

// say is a script that writes a value into the page.
const say = `function say(v){var p=document.createElement('pre');p.id='said';p.textContent=JSON.stringify(v);document.body.appendChild(p);}`

// tooWide is a script that names what stands out of a page of 320 pixels, which is
// 1280 at 400 per cent (WCAG 2.2, 1.4.10); tables may scroll in their own box.
const tooWide = say + `
document.documentElement.style.width='320px';document.body.style.maxWidth='320px';
var out=[];document.querySelectorAll('body *').forEach(function(e){
  if(e.closest('.scroll')&&!e.matches('.scroll')||e.matches('.skip'))return;
  var r=e.getBoundingClientRect(); if(r.width>0&&r.right>321)out.push(e.tagName+' '+e.className+' '+Math.round(r.right));});
say(out.slice(0,9));`

// fitsSmallScreens checks that a page reflows.
func fitsSmallScreens(t *testing.T, page string) {
	t.Helper()
	var out []string
	if probe(t, page, tooWide, &out); len(out) > 0 {
		t.Errorf("at 320 pixels these stand out of the page: %q", out)
	}
}

// accessible holds a page against the rules of axe-core (4.14.1, Deque, MPL), for
// WCAG 2.2 at level AA and what it calls best practice.
func accessible(t *testing.T, page string) {
	t.Helper()
	path := os.Getenv("ENDSMEET_AXE")
	if path == "" {
		outside.GoWithout(t, "axe.min.js, named by ENDSMEET_AXE, is not here")
	}
	axe, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var found struct {
		Passes     int
		Violations []string
	}
	probe(t, page, string(axe)+say+`axe.run(document).then(function(r){say({Passes:r.passes.length,Violations:r.violations.map(function(v){
		return v.id+': '+v.help+' '+v.nodes.slice(0,3).map(function(n){return n.html+' '+n.failureSummary}).join(' | ')})})});`, &found)
	if found.Passes < 10 {
		t.Errorf("only %d rules passed", found.Passes)
	}
	for _, v := range found.Violations {
		t.Error(v)
	}
}
