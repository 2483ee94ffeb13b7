package export

// Names returns what the files would be called that Run writes, relative to the
// folder, in the order in which they are written; or what is wrong with them.
func (j Job) Names() ([]string, error) {
	tasks, err := j.tasks()
	if err != nil {
		return nil, err
	}
	if _, err := j.extras(tasks); err != nil {
		return nil, err
	}
	names := make([]string, len(tasks))
	for i, t := range tasks {
		names[i] = t.name
	}
	return names, nil
}
