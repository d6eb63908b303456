"""The parts of an installation: `part`: what one is and what it calls for; `rows`: their facts; `position`: where they stand;
`readings`: what a reading says; `judging`: which of several readings stands; `neighbours`: whether it speaks for the next length too.
"""
