package export

const movieEnding = ".mkv"
