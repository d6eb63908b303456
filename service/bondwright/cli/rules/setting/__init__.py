"""`bondwright rules set-cell`: what is changed, what is asked, what the file then says, and what its undoing leaves."""
