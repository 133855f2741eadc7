"""What is drawn on paper: lines, words and bodies in millimetres of paper, labels laid out so that none is over another."""
