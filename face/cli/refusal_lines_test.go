package cli

// meaningless is one command line a line, and behind # what its message holds. RACK is --rack and a rack of 13.
const meaningless = `
fit 3445b 17c # 13 or 14
fit 3445b 17c 4668d FF J 9d 9d # 13 or 14
fit 3445b 17c 4668d FF X # X
fit 11111b 17c 4668d FF J # 1b
fit 3445b 17c 4668d FF J --top 0 # positive
fit 3445b 17c 4668d FF J --top=-3 # positive
fit 3445b 17c 4668d FF J --section Nonesuch # Nonesuch
fit 3445b 17c 4668d FF J --card nonesuch # Lantern
fit 3445b 17c 4668d FF J --card wrong.card #
fit 3445b 17c 4668d FF J --card empty.card # has no hands
fit 3445b 17c 4668d FF J --set-jokers=-1 #
fit 3445b 17c 4668d FF J --set-jokers=100 #
fit - --top 0 # positive
deal --jokers 9 # 9
deal --jokers x #
deal --jokers 3..1 #
deal --jokers=-1 #
deal --best-away 20 #
deal --best-away 9..x #
deal --has 3b4 #
deal --has FFFFFFFFFFFFFFF #
deal --has 123456789b123456789c #
deal --jokers 0 --has J #
deal --seat Q # E, S, W
deal --dealer --seat S # leave out one
deal RACK --jokers 1 # only one of the two
deal RACK --has F # only one of the two
deal RACK --two-plans # only one of the two
deal RACK --dealer # the dealer has 14
deal RACK --seat E # the dealer has 14
deal RACK --seed 3 # --seed
deal --rack 'FF 1b' # 13 or 14
deal --rack 'abc' #
deal --card empty.card # has no hands
walk --json # leave it out
walk Nonesuch # Nonesuch
walk Monday --players strong # --players
walk Monday --name Other # --name
walk Monday --card tiny.card # --card
walk Monday --seed 3 # --seed
walk Monday RACK # --rack
walk Monday --seat E # --seat
walk Monday --dealer # --dealer
walk Monday --jokers 1 # --jokers
walk Monday --has F # --has
walk Monday --best-away 5 # --best-away
walk Monday --two-plans # --two-plans
walk Monday --incoming table # --incoming
walk Monday --no-blind # no-blind
walk --players strong # only with --incoming table
walk --incoming table --players nobody # nobody
walk --name ' x' #
walk --name '12' #
walk --rack 'FF' # 13 or 14
compare Nonesuch # Nonesuch
compare Monday --aim Runs # leave out one
compare Monday --players strong # leave out one
compare Monday --save Other # --save
compare Monday --card tiny.card # --card
compare Monday RACK # --rack
compare Monday --seat E # --seat
compare Monday --incoming table # --incoming
compare Monday --no-blind # no-blind
compare --aim Nonesuch --seed 5 # Nonesuch
compare --aim Runs+ --seed 5 #
compare --aim Runs --repeats 0 # positive
compare --aim Runs --repeats=-1 # positive
compare --aim Runs --games 0 # positive
compare --aim Runs --games=-5 # positive
compare --aim Runs --players strong # only with --incoming table
compare --aim Runs --save Monday --repeats 1000000 # Monday
compare --aim Runs --save 12 --repeats 1000000 #
compare --aim Runs --save ' x' --repeats 1000000 #
compare --aim Runs --jokers 9 # 9
match --deals 0 # 1 or more
match --deals=-1 # 1 or more
match --seats strong,strong # a table has four
match --seats strong,strong,strong,nobody # nobody
match --seats strong,,strong,strong #
match --effect 0.01 # --test
match --test --effect 0 # above 0
match --test --effect 2 # above 0
match --test --effect=-1 # above 0
match --test --effect NaN # above 0
match --card nonesuch # Lantern
advise # --rack and --step
advise RACK # --rack and --step
advise --step first-right # --rack and --step
advise RACK --step nowhere # first-right
advise RACK --step first-right --top 0 # positive
advise RACK --step first-right --games 0 # positive
advise RACK --step first-right --games=-1 # positive
advise RACK --step first-right --budget 0s # above 0
advise RACK --step first-right --budget=-3s # above 0
advise RACK --step first-right --games 5 --budget 5s # leave out one
advise RACK --step first-right --dealer # the dealer has 14
advise RACK --step first-right --vote # after the first left
advise RACK --step first-left --vote --no-second-charleston # --no-second-charleston
advise RACK --step second-left --no-second-charleston # second
advise RACK --step courtesy --no-courtesy # courtesy
advise RACK --step courtesy --give 4 # 1 to 3
advise RACK --step courtesy --give 0 # 1 to 3
advise RACK --step courtesy --give=-1 # 1 to 3
advise RACK --step first-right --give 1 # courtesy
advise RACK --step first-left --vote --give 1 # --give
advise RACK --step first-right --pass 1d #
advise RACK --step first-right --pass '1b 2b 3b 4b' #
advise RACK --step first-right --pass J #
advise RACK --step first-left --vote --pass 14c # no tiles are passed
advise RACK --step first-right --plans --pass 14c # leave out one
advise RACK --step first-left --vote --plans # --plans
advise RACK --step first-right --players nobody # nobody
advise RACK --step first-right --route A # saved exercise
advise Monday RACK # leave out one
advise Monday --step first-right # leave out one
advise Monday --card tiny.card # leave out one
advise Monday --card Lantern # leave out one
advise Monday --vote # leave out one
advise Monday --give 1 # leave out one
advise Monday --dealer # leave out one
advise Monday --no-blind # leave out one
advise Monday --route Nonesuch # Nonesuch
advise Nonesuch # Nonesuch
advise Monday --route A # nothing
review Nonesuch # Nonesuch
review Monday --route Nonesuch # Nonesuch
review Monday --games 0 # positive
review Monday --budget 0s # above 0
review Monday --games 5 --budget 1s # leave out one
review Monday --players nobody # nobody
review Monday --card tiny.card # --card
card check nonesuch.card # Lantern
card check empty.card --card tiny.card # leave out one
card show tiny.card --section Nonesuch # Nonesuch
card check . #
card report tiny.card --deals=-1 # 0 or more
card report tiny.card --games=-1 # 0 or more
card report tiny.card --deals 0 --games 0 --aimed 0 # not 0 of all
card report tiny.card --section Nonesuch # Nonesuch
card report tiny.card -o there.txt # there already
card report tiny.card -o nowhere/x.json # no folder
card report tiny.card -o new.pdf -o there.txt # there already
card report empty.card # has no hands
card report tiny.card --card Lantern # leave out one
card tune tiny.card --games 0 # positive
card tune tiny.card --games=-1 # positive
card tune tiny.card --budget=-1s # positive
card tune tiny.card --budget 0s # positive
card tune tiny.card -o there.txt # there already
card tune tiny.card -o nowhere/x.json # no folder
card tune empty.card # no hands
card new -o there.txt # there already
card new -o nowhere/x.card # no folder
card new -o . #
card compose --no-balance -o there.txt # there already
card compose -o nowhere/x.card # no folder
card compose --no-balance --hands 0 --hands 3 # twice
card compose --no-balance --hands=-1 #
card compose --no-balance --hands 10 #
card compose --no-balance --sections=-1 #
card compose --no-balance --sections 13 #
card compose --no-balance --season 26 #
card compose --no-balance --season=-1 #
card compose --no-balance --motto 1 #
card compose --no-balance --motto abc #
card compose --no-balance --report x.txt # leave one
card compose --no-balance --games 5000 # --no-balance
card compose --no-balance --check 5 # --no-balance
card compose --games 10 # at least
card compose --check 0 # at least
card compose --check=-1 # at least
card compose --character clumsy --hands 20 # --character
card compose --character clumsy --motto 9041 # --character
card compose --character clumsy --report x.txt # --character
card compose --report there.txt # there already
card compose -o - --report - # standard output
exercise show Nonesuch # Nonesuch
exercise show 99 # 99
exercise show 0 # 0
exercise rename Monday ' x' #
exercise rename Monday 12 #
exercise rename Nonesuch Other # Nonesuch
exercise rename Monday Tuesday # Tuesday
exercise delete Nonesuch # Nonesuch
exercise restore Nonesuch # Nonesuch
exercise export Monday -o there.txt # there already
exercise export Monday -o nowhere/x.json # no folder
exercise export Nonesuch -o x.json # Nonesuch
exercise import nonesuch.json # secondpass exercise export
exercise import torn.json # exercise
exercise import other.json # exercise
exercise import there.txt # exercise
exercise import . #
exercise import - #
drill find --count 0 # 1 to 10000
drill find --count=-1 # 1 to 10000
drill find -n 100000 # 1 to 10000
drill find --deals 0 # 1 to 1000000
drill find --deals 10000000 # 1 to 1000000
drill find --budget=-1s # positive
drill find --budget 0s # positive
drill find --kind juggling # juggling
drill find --players nobody # nobody
drill find --card empty.card # has no hands
drill list --kind juggling # juggling
drill list --all --card tiny.card # leave out one
drill show 99 # 99
drill show 0 # 0
drill try # --student
drill try 99 # 99
drill try 0 #
drill try --student Nobody # Nobody
drill try 1 --student Nobody # Nobody
drill try 1 --answer 99 #
drill try 1 --answer nothing #
drill try 1 --answer 1 --took=-1s # positive
drill try 1 --answer 1 --limit=-1s # positive
drill try 1 --answer 1 --limit 0s # positive
drill try 1 --took 3s # --answer
drill read --answer Runs # give the seed
drill read --seed 5 --answer Nonesuch # Nonesuch
drill read --seed 5 --took 3s # --answer
drill read --student Nobody # Nobody
drill read --limit=-1s # positive
drill key --times 0 # 1 to 1000
drill key --times 5000 # 1 to 1000
drill key 1 --seed 12 # its key was made by seed
drill key 99 --seed 3 # 99
drill key 1 --card tiny.card --seed 3 # --card
drill key --players nobody # nobody
drill renew --from Lantern # both are
drill renew --from nonesuch --card tiny.card # Lantern
drill renew --from tiny.card # no drills
drill delete 99 # 99
drill delete 1 99 # 99
drill restore 99 # 99
drill restore 1 # drill list --deleted
drill export -o there.txt # there already
drill export --card tiny.card # no drills
drill export --kind juggling # juggling
drill import nonesuch.json # secondpass drill export
drill import torn.json #
drill import other.json #
drill import tiny.card #
lesson show Nonesuch # Nonesuch
lesson show 99 # 99
lesson new ' x' #
lesson add Evening # one of the two
lesson add Evening --drill 1 --exercise Monday # one of the two
lesson add Evening --drill 99 # 99
lesson add Evening --drill 0 #
lesson add Evening --exercise Nonesuch # Nonesuch
lesson add Evening --exercise Monday --route Q # Q
lesson add Evening --exercise Monday --at 99 # 99
lesson add Evening --exercise Monday --at=-1 #
lesson add Evening --drill 1 --route B # --route
lesson add Evening --drill 1 --at 2 # --at
lesson remove Evening 0 #
lesson remove Evening 9 #
lesson delete Nonesuch # Nonesuch
lesson restore 99 # 99
lesson handout Evening -o there.txt #
lesson handout Nonesuch -o x.pdf # Nonesuch
lesson answers Evening -o there.txt #
lesson reader-page Evening --drills -o x.html # no drills
lesson export Evening -o there.txt # there already
lesson import nonesuch.json # secondpass lesson export
lesson import torn.json #
lesson import other.json #
student add Ana # Ana
student add ' x' #
student progress Nobody # Nobody
student due Nobody # Nobody
student due Ana --new=-1 # 0 or more
student record Nobody Monday # Nobody
student record Ana Nonesuch # Nonesuch
student record Ana Monday --route Q # Q
student record Ana Monday --games 0 # positive
student record Ana Monday --games 5 --budget 1s # leave out one
student export Nobody # Nobody
student export Ana -o there.txt # there already
student delete Nobody --yes # Nobody
student delete Ana # --yes
experiment check nonesuch.experiment # experiment file
experiment check wrong.experiment #
experiment check there.txt #
experiment run # one of the three
experiment run wrong.experiment --ready keep-flowers # one of the three
experiment run --ready runs-or-evens --card tiny.card # prints it, to be written for your card
experiment run --ready keep-flowers --resume result.json # one of the three
experiment run --ready nonesuch # nonesuch
experiment run --ready keep-flowers --deals 0 # 1 or more
experiment run --ready keep-flowers --deals=-1 # 1 or more
experiment run --ready keep-flowers -o result.json # there already
experiment run --ready all -o - # folder
experiment run --resume nonesuch.json # nonesuch.json
experiment run --resume torn.json # torn.json
experiment run --resume result.json -o x.json # leave out
experiment run --resume result.json --deals 1 # deals
experiment run --resume result.json --card tiny.card # --card
experiment run --resume result.json --seed 3 # --seed
experiment show nonesuch # nonesuch
experiment show torn.json # torn.json
experiment show result.json --of luck -o x.svg # luck
experiment show result.json --of ways # -o
experiment show result.json -o x.gif # .svg
experiment show result.json -o there.svg.txt # .svg
experiment export nonesuch # nonesuch
experiment export result.json -o there.txt # there already
experiment repeat nonesuch # nonesuch
experiment ready nonesuch # nonesuch
experiment report nonesuch # nonesuch
experiment report result.json -o there.txt # there already
experiment report data # no results
restore nonesuch.zip # no backup
check-data -o data # data
serve --listen nowhere # HOST:PORT
serve --listen 127.0.0.1:99999 # HOST:PORT
serve --snapshots=-1 # from 0 up
serve --snapshot-days=-1 # from 0 up
`
