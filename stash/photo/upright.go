package photo

import (
	"bytes"
	"encoding/binary"
	"image"
)

// orientation reads from a JPEG how it is to be turned (Exif 2.3, tag 0x0112: 1 to
// 8, of which 1 is upright); 1 where nothing tells. It is the one thing of the
// camera's notes that is used, and it is not kept.
func orientation(data []byte) int {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker, size := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
		end := at + 2 + size
		if marker == 0xda || size < 2 || end > len(data) {
			break
		}
		if body := data[at+4 : end]; marker == 0xe1 &&
			bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return tiffOrientation(body[6:])
		}
		at = end
	}
	return 1
}

// tiffOrientation reads the tag from the first directory of a TIFF block.
func tiffOrientation(t []byte) int {
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(t, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(t) < 8 {
		return 1
	}
	at := int64(order.Uint32(t[4:]))
	if at+2 > int64(len(t)) {
		return 1
	}
	n := int64(order.Uint16(t[at:]))
	for i := range n {
		entry := at + 2 + 12*i
		if entry+12 > int64(len(t)) {
			return 1
		}
		if order.Uint16(t[entry:]) == 0x0112 {
			if v := int(order.Uint16(t[entry+8:])); v >= 1 && v <= 8 {
				return v
			}
			return 1
		}
	}
	return 1
}

// upright turns a picture as its orientation says.
func upright(img *image.RGBA, turn int) *image.RGBA {
	if turn <= 1 || turn > 8 {
		return img
	}
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	if turn >= 5 {
		w, h = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			sx, sy := source(x, y, w, h, turn)
			out.SetRGBA(x, y, img.RGBAAt(sx, sy))
		}
	}
	return out
}

// source is where the pixel of the upright picture stands in the other.
func source(x, y, w, h, turn int) (int, int) {
	switch turn {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, w - 1 - x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return h - 1 - y, x
	}
	return x, y
}
