package ui

func (w *window) renameMatte() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	w.sheets.AskName("Rename matte", m.Name, w.desk.RenameMatte)
}

func (w *window) renameMask() {
	t := w.desk.Mask()
	if t == nil {
		return
	}
	w.sheets.AskName("Rename mask", t.Name, w.desk.RenameMask)
}
