package export

// An Ahead tells how a job stands to what its folder holds already, by its manifests
// alone: pictures of frames, of all shards.
type Ahead struct {
	Same     int // made with the job's settings: they are looked at, and left where they are whole
	Replaced int // made with others, which the job would replace
	Fresh    int // not there
	Version  int // that the job would have
}

// Ahead looks at the job's folder, which may be missing. Nothing is written.
func (j Job) Ahead() (a Ahead, err error) {
	m, err := openManifest(j.Folder, j.Shard.ManifestName())
	if err != nil {
		return a, err
	}
	if j.Version, err = j.versionIn(m); err != nil {
		return a, err
	}
	tasks, err := j.allTasks()
	if err != nil {
		return a, err
	}
	a.Version = j.Version
	for _, t := range tasks {
		switch e, known := m.entry(t.name); {
		case !known || e.Skipped != "":
			a.Fresh++
		case e.Settings == j.settingsOf(t):
			a.Same++
		default:
			a.Replaced++
		}
	}
	return a, nil
}

// versionIn is the job's version in a folder: see Job.Version.
func (j Job) versionIn(m *manifest) (int, error) {
	if j.Version > 0 || !j.Pattern.Has("version") {
		return max(j.Version, 1), nil
	}
	all, err := standingOf(m.plans)
	if err != nil {
		return 0, err
	}
	newest := 0
	for _, s := range all {
		if s.kind == j.Kind && s.clip == j.Study.Clip.Name() && s.pattern == j.Pattern.String() {
			newest = max(newest, s.version)
		}
	}
	if newest == 0 {
		return 1, nil
	}
	j.Version = newest
	own := wanted{}
	p, err := j.plan(nil)
	if err != nil {
		return 0, err
	}
	for _, s := range p.Series {
		for _, r := range s.Runs {
			for n := r.From; n <= r.To; n++ {
				own.set(p.of(s), n, r.Settings)
			}
		}
	}
	if len(own.others(all)) > 0 {
		return newest + 1, nil
	}
	return newest, nil
}
