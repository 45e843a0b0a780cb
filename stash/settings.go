package stash

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Settings are the weaver's own figures and habits. Each has a name, a help
// text and a default; what is stored is only what differs.
type Settings struct {
	Units     measure.System `json:"units"`
	ScaleStep measure.Mass   `json:"scale.step"`
	// ScaleUnit is the unit of a reading that is written without one, empty until
	// the weaver has said it.
	ScaleUnit   string         `json:"scale.unit"`
	FrontWaste  measure.Length `json:"loom.front_waste"`
	BackWaste   measure.Length `json:"loom.back_waste"`
	LoomWidth   measure.Length `json:"loom.width"`
	Heddles     int            `json:"loom.heddles"`
	LongestWarp measure.Length `json:"loom.longest_warp"`
	ReedWidth   measure.Length `json:"loom.reed_width"`
	Reeds       []measure.Sett `json:"loom.reeds"`
	TwistLoss   measure.Ratio  `json:"fringe.twist_loss"`
	BraidLoss   measure.Ratio  `json:"fringe.braid_loss"`
	KnotLoss    measure.Ratio  `json:"fringe.knot_loss"`
	Knot        measure.Length `json:"fringe.knot"`
	Trim        measure.Length `json:"fringe.trim"`
	Join        measure.Length `json:"weft.join"`
	StaleDays   int            `json:"stale.days"`
	// Freezer is how cold the freezer is, in degrees Celsius, 0 where nobody measured.
	Freezer int `json:"freezer"`
	// Plain asks for answers to listen to.
	Plain      bool   `json:"plain"`
	PeopleSync bool   `json:"people.sync"`
	Maker      string `json:"maker"`
	Currency   string `json:"currency"`
	Decimal    string `json:"decimal"`
	// Fits are the weights of what the search ranks by; only their proportions
	// matter. RestUse is the length below which a rest is of no use.
	FitsSize int            `json:"fits.weight.size"`
	FitsUse  int            `json:"fits.weight.use"`
	FitsRest int            `json:"fits.weight.leftover"`
	FitsLots int            `json:"fits.weight.lots"`
	RestUse  measure.Length `json:"fits.leftover"`
	Doubts   measure.Doubts `json:"-"`
}

// DefaultSettings are what holds until the weaver says otherwise. Loom waste,
// twist and braid loss, knot and trim are common practice, no source; a
// scale is taken to show grams.
func DefaultSettings() Settings {
	return Settings{
		Units: measure.Metric, ScaleStep: measure.Gram,
		FrontWaste: 15 * measure.Centimetre, BackWaste: 45 * measure.Centimetre,
		Reeds:     []measure.Sett{},
		TwistLoss: 20 * measure.Percent, BraidLoss: 25 * measure.Percent,
		Knot: 3 * measure.Centimetre, Trim: measure.Centimetre,
		Join: 10 * measure.Centimetre, StaleDays: 400,
		FitsSize: 60, FitsUse: 20, FitsRest: 10, FitsLots: 10, RestUse: 25 * measure.Metre,
	}
}

var plainSettings = []Field{
	{Name: "units", Help: "metric or imperial",
		Parse: func(s string) (any, error) { return measure.ParseSystem(s) }},
	{Name: "scale.step", Help: "1g", Parse: parseStep, Show: massField("", "").Show},
	{Name: "scale.unit", Help: "g", Parse: parseScaleUnit},
	lengthField("loom.front_waste", "15cm"), lengthField("loom.back_waste", "45cm"),
	lengthField("loom.width", "70cm"),
	{Name: "loom.heddles", Help: "600", Parse: number("loom.heddles", 0, 100000)},
	lengthField("loom.longest_warp", "20m"), lengthField("loom.reed_width", "70cm"),
	{Name: "loom.reeds", Help: "40/10, 12/in",
		Parse: func(s string) (any, error) { return parseReeds(s) }, Type: reedsWords},
	fringeLossField("fringe.twist_loss", "20%"), fringeLossField("fringe.braid_loss", "25%"),
	fringeLossField("fringe.knot_loss", "0%"),
	lengthField("fringe.knot", "3cm"), lengthField("fringe.trim", "1cm"),
	lengthField("weft.join", "10cm"),
	{Name: "stale.days", Help: "400", Parse: number("stale.days", 1, 100000)},
	{Name: "freezer", Help: "-18C", Parse: parseCold, Show: showCold},
	{Name: "plain", Help: "no", Parse: parseBool},
	{Name: "people.sync", Help: "no", Parse: parseBool},
	weightField("fits.weight.size", "60"), weightField("fits.weight.use", "20"),
	weightField("fits.weight.leftover", "10"), weightField("fits.weight.lots", "10"),
	lengthField("fits.leftover", "25m").shown(func(n int64, units measure.System) string {
		return measure.Length(n).Yarn(units)
	}),
	{Name: "maker", Help: "any name", Parse: text},
	{Name: "currency", Help: "EUR", Parse: text},
	choiceField("decimal", "comma", written.StylePoint.String(), written.StyleComma.String()),
}

// fringeLossField is what a fringe loses of its length: a share, or a bunch that was
// measured before and after.
func fringeLossField(name, help string) Field {
	return Field{Name: name, Help: help, Show: showRatio, Parse: func(s string) (any, error) {
		before, after, measured := strings.Cut(s, " to ")
		if !measured {
			return parseLoss(name, s)
		}
		from, err := measure.ParseLength(before)
		if err != nil {
			return nil, err
		}
		to, err := measure.ParseLength(after)
		if err == nil && (to <= 0 || to > from) {
			err = &ValueError{name, s, "a bunch does not grow by being twisted, braided or knotted",
				"give the length before and after, such as 20cm to 15.5cm"}
		}
		return measure.RatioOf(1 - float64(to)/max(1, float64(from))), err
	}}
}

// parseStep reads the step of a scale, which is more than nothing.
func parseStep(s string) (any, error) {
	m, err := measure.ParseMass(s)
	if err == nil && m <= 0 {
		err = &ValueError{"scale.step", s, "a scale shows steps of more than nothing",
			"such as 1g or 0.1g"}
	}
	return m, err
}

// parseCold reads the temperature of a freezer in whole degrees, of Celsius unless it
// says F.
func parseCold(s string) (any, error) {
	text := strings.TrimSpace(strings.NewReplacer("°", "", "−", "-").Replace(strings.ToUpper(s)))
	number, fahrenheit := strings.CutSuffix(text, "F")
	n, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(number, "C")), 64)
	if fahrenheit {
		n = (n - 32) / 1.8
	}
	if err != nil || n > -1 || n < -90 {
		return nil, &ValueError{"freezer", s, "a temperature below nothing is wanted",
			"such as -18C or 0F, measured"}
	}
	return int(math.Ceil(n)), nil
}

// showCold is nothing for a freezer that nobody measured.
func showCold(n int64, _ measure.System) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d C", n)
}

// parseScaleUnit reads a unit of mass.
func parseScaleUnit(s string) (any, error) {
	unit := strings.TrimSpace(s)
	if _, err := measure.ParseMass("1 " + unit); err != nil {
		return nil, &ValueError{"scale.unit", s, "a unit of weight is wanted", "such as g or oz"}
	}
	return unit, nil
}

// ScaleUnit is the unit in which the step of a scale is written.
func ScaleUnit(step string) string {
	return strings.TrimLeft(strings.TrimSpace(step), "0123456789.,/ ")
}

// weightField is a weight from 0 to 100.
func weightField(name, usual string) Field {
	return Field{Name: name, Help: usual, Parse: number(name, 0, 100)}
}

// doubtPrefix begins the settings that hold the starting doubt of a count.
const doubtPrefix = "doubt."

func doubtName(s measure.Source) string {
	return doubtPrefix + strings.ReplaceAll(s.String(), " ", "_")
}

// settingFields are the plain settings and one for each source of a count.
func settingFields() []Field {
	fields := append([]Field(nil), plainSettings...)
	for _, s := range measure.Sources() {
		fields = append(fields, Field{Name: doubtName(s),
			Help:  fmt.Sprintf("%v", s.StartingDoubt()),
			Show:  showRatio,
			Parse: func(v string) (any, error) { return parseLoss("doubt", v) }})
	}
	return fields
}

// SettingsOf lays stated values over the defaults. A cleared value is the
// default again.
func SettingsOf(shown Fields) Settings {
	s := DefaultSettings()
	s.Doubts = measure.Doubts{}
	for name, value := range shown {
		if string(value) == "null" {
			continue
		}
		one, _ := json.Marshal(Fields{name: value})
		_ = json.Unmarshal(one, &s)
		for _, source := range measure.Sources() {
			var r measure.Ratio
			if name == doubtName(source) && json.Unmarshal(value, &r) == nil {
				s.Doubts[source] = r
			}
		}
	}
	return s
}

// SettingValues gives the JSON form of every setting as it holds.
func SettingValues(s Settings) (Fields, error) {
	raw, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	values := Fields{}
	if err := json.Unmarshal(raw, &values); err != nil {
		return nil, err
	}
	for _, source := range measure.Sources() {
		if values[doubtName(source)], err = json.Marshal(s.Doubts.Of(source)); err != nil {
			return nil, err
		}
	}
	return values, nil
}

// RatioSetting says whether a setting is a share of something.
func RatioSetting(name string) bool {
	return strings.HasPrefix(name, doubtPrefix) || strings.HasSuffix(name, "_loss")
}

// SettingWords shows the JSON value of a setting as it could be typed.
func SettingWords(name string, value json.RawMessage) string {
	return shownAs(WhatSettings, name, value, measure.Metric)
}

func wordsOf(value json.RawMessage) string {
	var yes bool
	if json.Unmarshal(value, &yes) == nil {
		return map[bool]string{true: "yes", false: "no"}[yes]
	}
	var text string
	_ = json.Unmarshal(value, &text)
	return text
}
