package format

import (
	"fmt"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/remote"
)

func TestNamesStayShortForATrillionEvents(t *testing.T) {
	const many = 1_000_000_000_000
	lane := stash.Lane(strings.Repeat("q", 24))
	for _, name := range []remote.Name{
		SegmentName{Run: Run{Lane: lane, First: many - 1, Last: many}}.Name(),
		HeadName{Lane: lane, Last: many, Epoch: EpochName{Number: 999}}.Name(),
		KeyName{Epoch: EpochName{Number: 999}, Kind: WrapRecovery}.Name(),
	} {
		if err := name.Check(); err != nil {
			t.Error(err)
		}
	}
}

func TestNamesOfPicturesAreReadBack(t *testing.T) {
	n := PictureName{epoch: EpochName{Number: 3, mark: [5]byte{1, 2, 3, 4, 5}},
		Key: stash.ContentOf([]byte("k")), Object: HashOf([]byte("o"))}
	if got, ok := ParsePicture(n.Name()); !ok || got != n {
		t.Errorf("%s reads as %v, %v", n.Name(), got, ok)
	}
	for _, no := range []remote.Name{"pic/x", "pic/3.aebagbaf-a-b.age", n.Name() + "x"} {
		if _, ok := ParsePicture(no); ok {
			t.Errorf("%s passes", no)
		}
	}
}

func TestNamesReadBackAndNothingElseIsTakenForOne(t *testing.T) {
	lane := stash.Lane(strings.Repeat("k", 24))
	e := EpochName{Number: 4294967295, mark: [5]byte{255, 255, 255, 255, 255}}
	id := stash.EventID{1, 2, 3}
	seg := SegmentName{Run{lane, 999_999_999_999, 999_999_999_999, id}, id}
	head := HeadName{lane, 999_999_999_999, id, e, id}
	key := KeyName{e, WrapRecovery, id, id}
	device := DeviceName{lane, id}
	for _, name := range []remote.Name{seg.Name(), head.Name(), key.Name(), device.Name(),
		FileName} {
		if err := name.Check(); err != nil {
			t.Error(err)
		}
	}
	gotSeg, okSeg := ParseSegment(seg.Name())
	gotHead, okHead := ParseHead(head.Name())
	gotKey, okKey := ParseKey(key.Name())
	gotDevice, okDevice := ParseDevice(device.Name())
	if !okSeg || !okHead || !okKey || !okDevice || gotSeg != seg || gotHead != head ||
		gotKey != key || gotDevice != device {
		t.Errorf("read back as %v %v %v %v", gotSeg, gotHead, gotKey, gotDevice)
	}
	wrong := []string{"seg/" + string(lane) + "/01-2-" + id.String() + "-" + id.String() + ".seg",
		"seg/" + string(lane) + "/3-2-" + id.String() + "-" + id.String() + ".seg",
		"seg/" + string(lane) + "/0-2-" + id.String() + "-" + id.String() + ".seg", "head/x",
		string(head.Name()) + ".1", "keys/0.aaaaaaaa/phrase-" + id.String() + "-" + id.String() +
			".age",
		"dev/" + string(lane) + ".age",
		fmt.Sprintf("seg/%s/99999999999999999999-99999999999999999999-%s-%s.seg", lane, id, id)}
	for _, text := range wrong {
		_, a := ParseSegment(remote.Name(text))
		_, b := ParseHead(remote.Name(text))
		_, c := ParseKey(remote.Name(text))
		_, d := ParseDevice(remote.Name(text))
		if a || b || c || d {
			t.Errorf("%s is taken for a name", text)
		}
	}
}

func TestACodeIsReadHoweverItIsGroupedAndASlipIsNoticed(t *testing.T) {
	code := NewCode()
	for _, typed := range []string{code, strings.ToUpper(code), strings.ReplaceAll(code, "-", ""),
		strings.ReplaceAll(code, "-", " "), " " + code + "\n",
		strings.NewReplacer("o", "0", "l", "1", "b", "8").Replace(code)} {
		if got, is, err := SecretOf(typed); err != nil || !is || got != code {
			t.Errorf("%q is read as %q, %v, %v", typed, got, is, err)
		}
	}
	for i, c := range code {
		if c == '-' {
			continue
		}
		other := byte('a')
		if c == 'a' {
			other = 'b'
		}
		slip := code[:i] + string(other) + code[i+1:]
		if _, _, err := SecretOf(slip); err == nil {
			t.Errorf("the slip in %q is not noticed", slip)
		}
	}
	if got, is, err := SecretOf(saying); err != nil || is || got != saying {
		t.Errorf("a pass-phrase is read as %q, %v, %v", got, is, err)
	}
}

const saying = "four looms stood idle"
