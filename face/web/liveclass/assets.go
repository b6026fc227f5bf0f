package liveclass

import (
	"embed"
	"io/fs"

	"secondpass/face/web/page"
)

//go:embed templates assets
var embedded embed.FS

func folder(name string) fs.FS {
	f, err := fs.Sub(embedded, name)
	if err != nil {
		panic(err) // the folder is embedded
	}
	return f
}

// phoneAssets are the files that the students' pages use, those of the other pages first.
var phoneAssets = []string{"tokens.css", "look.css", "play.css", "drills.css", "workbook.css", "drills.js", "fonts/{file}"}

// ownAssets are the files of the pages of classes; the teacher's script is not among those of the door.
var ownAssets = []string{"class.css", "room.js"}

// routeAssets serves the files of the pages of classes that students use.
func routeAssets(mux page.Routes) {
	files := page.Files(folder("assets"))
	for _, name := range ownAssets {
		mux.Handle("GET /assets/"+name, files)
	}
}
