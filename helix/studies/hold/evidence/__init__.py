"""What a load rests on: the layers of evidence, friction from the rule or from own pulls, the test that would decide."""
