"""What a quilt's plan has to know that is not geometry: mattresses, prices, names of colours."""
