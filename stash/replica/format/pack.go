package format

import (
	"sync"

	"github.com/klauspost/compress/zstd"
)

// maxUnpacked caps what a segment may unpack to: maxBytes of lines, or one
// line that is longer.
const maxUnpacked = 64 << 20

// packers are made when they are first needed.
var packers = sync.OnceValues(func() (*zstd.Encoder, *zstd.Decoder) {
	enc, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1),
		zstd.WithEncoderLevel(zstd.SpeedBetterCompression), zstd.WithEncoderCRC(false))
	if err != nil {
		panic(err) // the options are constants
	}
	dec, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1),
		zstd.WithDecoderMaxMemory(maxUnpacked))
	if err != nil {
		panic(err)
	}
	return enc, dec
})

func compress(data []byte) []byte {
	enc, _ := packers()
	return enc.EncodeAll(data, nil)
}

func decompress(data []byte) ([]byte, error) {
	_, dec := packers()
	return dec.DecodeAll(data, nil)
}
