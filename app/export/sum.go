package export

import (
	"crypto/sha256"
	"encoding/hex"
)

// sum256 is the SHA-256 of data, in hexadecimal digits.
func sum256(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
