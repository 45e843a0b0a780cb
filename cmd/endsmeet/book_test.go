package main

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// bookDesk is a stash with forty yarns, one of wicked names, and a finished piece
// with stripes.
func bookDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.run("import", fortyYarns)
	for i, text := range wicked {
		d.run("receive", text, "--net", "100g", "--colour", text, "--lot", text, "--bin", text,
			"--note", text, "--new", "--tag", "W"+string(rune('a'+i)))
	}
	d.run("receive", strings.Repeat("endless", 11), "--net", "10g", "--colour",
		"teal"+strings.Repeat("endless", 1500))
	d.run("person", "add", "Tamsel Orrow", "--preset", "respiratory")
	d.run("project", "add", "stripes "+wicked[0], "--kind", "scarf", "--warp", "Y13", "--weft",
		"Y05", "--width", "20cm", "--length", "60cm", "--sett", "8/cm", "--picks", "7/cm",
		"--structure", "plain", "--twisted", "12cm", "--bunch", "4", "--for", "Tamsel")
	d.run("start", "stripes")
	d.run("finish", "stripes "+wicked[0]+" 1", "--weighed", "Y13=250g", "--length", "61cm",
		"--width", "19cm", "--tape", "70cm", "--thrums", "5g")
	d.run("config", "maker="+wicked[1])
	d.run("book", d.path("book.html"))
	return d
}

func TestTheBookTakesNoNameForMoreThanAName(t *testing.T) {
	t.Parallel()
	d := bookDesk(t)
	raw, err := os.ReadFile(d.path("book.html"))
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(raw), "<script"); n != 1 {
		t.Errorf("%d scripts in the page", n)
	}
	for _, no := range []string{"<img", "onerror=alert(1)>", "<b onclick", "@import", "ZgotmplZ",
		"Orrow"} {
		if strings.Contains(string(raw), no) {
			t.Errorf("%s is in the page", no)
		}
	}
	if outside := regexp.MustCompile(`(?:href|xlink:href|action|url\()="?(?:https?:|//|[^#"(])`).Find(raw); outside != nil {
		t.Errorf("the page names something outside: %s", outside)
	}
	d.run("book", d.path("people.html"), "--with-private")
	if raw, _ := os.ReadFile(d.path("people.html")); !strings.Contains(string(raw),
		"Tamsel Orrow") {
		t.Error("people are left out though they were asked for")
	}
}

// The page as it is, with its policy: its own script runs, no other does.
func TestTheBookOpensInABrowser(t *testing.T) {
	t.Parallel()
	d := bookDesk(t)
	dom := chromium(t, d.path("book.html"), "--dump-dom")
	if strings.Contains(dom, "<title>owned") || strings.Contains(dom, "<img") {
		t.Error("a name became an element or ran")
	}
	if regexp.MustCompile(`<form[^>]*hidden`).MatchString(dom) {
		t.Error("the page's own script did not run")
	}
	fitsSmallScreens(t, d.path("book.html"))
}

func TestTheBookSearchesAndSorts(t *testing.T) {
	t.Parallel()
	d := bookDesk(t)
	var said struct{ All, Hits, First, Back string }
	probe(t, d.path("book.html"), say+`
		function shown(){return Array.prototype.filter.call(document.querySelectorAll('#shelf li'),function(e){return e.offsetParent})}
		var r={All:''+shown().length},q=document.getElementById('words'),o=document.getElementById('order');
		q.value='superwash sky';q.dispatchEvent(new Event('input'));
		setTimeout(function(){r.Hits=shown().map(function(e){return e.dataset.find}).join(' ')+': '+document.getElementById('told').textContent;
		q.value='';q.dispatchEvent(new Event('input'));o.value='most';o.dispatchEvent(new Event('change'));
		setTimeout(function(){r.First=shown()[0].dataset.find;o.value='';o.dispatchEvent(new Event('change'));r.Back=''+shown().length;say(r)},300)},300)`, &said)
	if said.Hits != "Y15-1 Y15-2: 2 of "+said.All+" items" || said.First != "Y40" ||
		said.Back != said.All {
		t.Errorf("%+v", said)
	}
}

func TestACardIsAccessibleAndFitsSmallScreens(t *testing.T) {
	t.Parallel()
	d := bookDesk(t)
	d.run("card", "stripes "+wicked[0]+" 1", "--html", d.path("card.html"), "--svg",
		d.path("card.svg"))
	fitsSmallScreens(t, d.path("card.html"))
	accessible(t, d.path("card.html"))
}

func TestTheBookIsAccessible(t *testing.T) {
	t.Parallel()
	d := bookDesk(t)
	accessible(t, d.path("book.html"))
}
