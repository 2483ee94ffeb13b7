package export

// Names returns what the files would be called that Run writes, relative to the
// folder, in the order in which they are written: those of frames, and those beside them; or what is
// wrong with them.
func (j Job) Names() (frames, beside []string, err error) {
	tasks, err := j.tasks()
	if err != nil {
		return nil, nil, err
	}
	extras, err := j.extras(tasks)
	if err != nil {
		return nil, nil, err
	}
	for _, t := range tasks {
		frames = append(frames, t.name)
	}
	for _, x := range extras {
		beside = append(beside, x.name)
	}
	return frames, beside, nil
}

// MostBytes is more than the files can take that Run writes, for frames of so many pixels:
// their samples without compression, with the manifest's lines.
func (j Job) MostBytes(pixels int) (bytes int64, err error) {
	tasks, err := j.tasks()
	if err != nil {
		return 0, err
	}
	extras, err := j.extras(tasks)
	if err != nil {
		return 0, err
	}
	bytes = int64(len(tasks)) * (int64(pixels)*int64(j.Kind.samples())*int64(j.Depth/8) + lineBytes)
	for _, x := range extras {
		switch x.kind {
		case Movie:
			bytes += int64(len(j.Frames)) * int64(pixels) * int64(j.Kind.samples()) * 2
		case Overlay:
			bytes += int64(min(pixels, overlaySide*overlaySide)) * 3
		default:
			bytes += sheetBytes
		}
		bytes += lineBytes
	}
	return bytes, nil
}

// More than a manifest's line for a file, with its share of the plan, and than a text
// beside mattes.
const (
	lineBytes  = 1 << 10
	sheetBytes = 16 << 10
)
