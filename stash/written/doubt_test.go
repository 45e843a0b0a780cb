package written_test

import (
	"testing"

	"endsmeet/stash/written"
)

func TestWordsOfDoubtAndWhatIsLeftWithoutThem(t *testing.T) {
	for text, want := range map[string]string{
		"cotton, says seller": "cotton", "cotton (guess)": "cotton", "I think cotton": "cotton",
		"cotton, I think": "cotton", "maybe cotton": "cotton", "probably cotton": "cotton",
		"cotton?": "cotton", "supposedly cotton": "cotton", "cotton, not sure": "cotton",
		"cotton, unsure": "cotton", "most likely cotton": "cotton", "cotton (from memory)": "cotton",
		"cotton the seller said": "cotton", "cotton, according to the shop": "cotton",
		"could be cotton": "cotton", "cotton, a guess": "cotton", "cotton, peut-être": "cotton",
		"vielleicht cotton": "cotton", "måske cotton": "cotton", "cotton, claimed": "cotton",
		"cotton; untested": "cotton", "not quite sure: cotton": "cotton", "seems cotton": "cotton",
	} {
		if got, doubted := written.Undoubted(text); got != want || !doubted {
			t.Errorf("%q leaves %q, doubted %t", text, got, doubted)
		}
	}
	for _, text := range []string{"", "cotton", "cotton, label says", "certain", "sure", "unknown",
		"guest house", "likeable", "mayflower", "seller unknown to me", "hopeful dye"} {
		if got, doubted := written.Undoubted(text); doubted || got != text {
			t.Errorf("%q is doubted and leaves %q", text, got)
		}
	}
}

func TestADoubtIsOfItsOwnClause(t *testing.T) {
	for text, want := range map[string]bool{
		"superwash?": true, "superwash, I think": true, "not sure: superwash": true,
		"maybe superwash": true, "superwash (says seller)": true, "superwash": false,
		"superwash, maybe blue": false, "maybe blue; superwash": false, "maybe merino": false,
	} {
		if got := written.DoubtsAbout(text, "superwash"); got != want {
			t.Errorf("%q: %t, want %t", text, got, want)
		}
	}
}

func TestAYearThatIsKnownRoughly(t *testing.T) {
	for text, want := range map[string]int{"spring 2019": 2019, "c. 2015": 2015, "2018?": 2018,
		"early 2021": 2021, "about 1998": 1998, "Winter 2020": 2020, "~2012": 2012,
		"2017, I think": 2017, "Herbst 2016": 2016, "autumn, 2014": 2014, "2010 or 2012": 0,
		"before 2019": 0, "2019 guild": 0, "19": 0, "": 0, "long ago": 0} {
		d, ok := written.RoughYear(text)
		if ok != (want > 0) || ok && (d.Year != want || d.Month != 0) {
			t.Errorf("%q: %+v, %t", text, d, ok)
		}
	}
}
