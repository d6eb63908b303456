"""Parts as they are answered: `bonds`, `readings`, `findings`: what is told of those; `part`: the whole of it;
`plan`: the connections, and like parts under one line.
"""
