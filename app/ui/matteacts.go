package ui

func (w *window) renameMatte() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	w.askName("Rename matte", m.Name, w.desk.RenameMatte)
}
