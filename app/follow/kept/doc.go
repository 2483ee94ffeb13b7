// Package kept keeps what was found of followed outlines, and the figures of judged frames, in a
// folder, by a digest of all that they depend on.
//
// A file is called by its digest and holds 8 bytes that say what it is, the digest's 32, the
// data, and the SHA-256 of all before (FIPS 180-4). One that is cut, changed or of somebody
// else is not read, and made anew. Files are written under another name and renamed: several
// programs may use one folder at once. The oldest go where all together take too much.
package kept
