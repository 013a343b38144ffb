"""The commands procedures may begin with: a closed list, so that 'Cleaning' is seen to be none."""

from __future__ import annotations

from typing import Final

_LIST: Final = """
add adjust agree allow answer ask attach audit bind blank bleed bond book bring burn calibrate
carry catch change charge check chock clamp clean clear climb close cold-soak collect compare
confirm connect cool copy correct count cover crank cut decide deliver depart dip discard
disconnect distrust divide do drain draw dry ease empty enter examine exchange expect feed feel
fill find fit flush fly follow free fuel get give go grease ground halve hand have hold inhibit
inspect jack keep know label lap latch lay leak-check learn leave let level lift list listen
load lock log look lower make man mark match measure mend mind mop move name note observe open
order overhaul park part patch pay photograph place plan post pour press prime prove pull pump
put raise rate re-clip re-hang re-rig re-route re-run reach read recalibrate reckon record refit
refuel release remake remove renew repack repair repeat replace report reseat reset restore
return ride rig rinse rock rotate route run sample save say seal seat secure see select send
separate set settle shade shake show shut slacken slow soak stand start state stay stick stop
store straighten strip switch tag take teach tell test thaw tie tighten time torque touch trace
transfer treat try turn uncross unload use ventilate verify wait walk warm wash watch wear weigh
wipe wire work write
"""

COMMANDS: Final = frozenset(_LIST.split())
